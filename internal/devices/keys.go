package devices

// Codes of keys (linux/input-event-codes.h), which are those of a US keyboard.
const (
	keyEnter      = 28
	keyLeftShift  = 42
	keyRightShift = 54
)

// keyRows are the keys that give characters, by the code of the first of a row,
// without and with the shift key.
var keyRows = []struct {
	first       uint16
	plain, with string
}{
	{2, "1234567890-=", "!@#$%^&*()_+"},
	{16, "qwertyuiop[]\r", "QWERTYUIOP{}\r"}, // ends with Enter
	{30, "asdfghjkl;'", "ASDFGHJKL:\""},
	{44, "zxcvbnm,./", "ZXCVBNM<>?"},
	{57, " ", " "},
	{15, "\t", "\t"},
	{71, "789-456+1230.", "789-456+1230."}, // the number pad
	{96, "\r", "\r"},                       // its Enter
}

// character is what a key types, and false for one that types nothing.
func character(code uint16, shift bool) (byte, bool) {
	for _, row := range keyRows {
		if i := int(code) - int(row.first); i >= 0 && i < len(row.plain) {
			if shift {
				return row.with[i], true
			}
			return row.plain[i], true
		}
	}
	return 0, false
}
