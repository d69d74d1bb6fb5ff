package devices

import (
	"maps"
	"slices"
	"strings"
)

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

// namedKeys are keys that type nothing, and those of pedals that are mice.
var namedKeys = map[string]uint16{
	"esc": 1, "backspace": 14, "tab": 15, "enter": keyEnter, "space": 57,
	"f1": 59, "f2": 60, "f3": 61, "f4": 62, "f5": 63, "f6": 64, "f7": 65, "f8": 66, "f9": 67, "f10": 68, "f11": 87, "f12": 88,
	"f13": 183, "f14": 184, "f15": 185, "f16": 186, "f17": 187, "f18": 188, "f19": 189, "f20": 190, "f21": 191, "f22": 192, "f23": 193, "f24": 194,
	"home": 102, "up": 103, "pageup": 104, "left": 105, "right": 106, "end": 107, "down": 108, "pagedown": 109, "insert": 110, "delete": 111,
	"volumedown": 114, "volumeup": 115, "nextsong": 163, "playpause": 164, "previoussong": 165,
	"button-left": 0x110, "button-right": 0x111, "button-middle": 0x112,
}

// keyNamed returns the code of a key that is named, or known by its character.
func keyNamed(name string) (code uint16, known bool) {
	if code, known = namedKeys[name]; known || len(name) != 1 {
		return code, known
	}
	for _, row := range keyRows {
		if i := strings.IndexByte(row.plain, name[0]); i >= 0 {
			return row.first + uint16(i), true
		}
	}
	return 0, false
}

func keyNames() []string { return slices.Sorted(maps.Keys(namedKeys)) }
