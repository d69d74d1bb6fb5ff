package devices

// Frames are read as ISO 8859-1: each byte is the character of its number, so
// that \xNN in a layout means one byte and every byte has a character.

// fromLatin1 returns the text of a frame.
func fromLatin1(frame []byte) string {
	ascii := true
	for _, b := range frame {
		ascii = ascii && b < 0x80
	}
	if ascii {
		return string(frame)
	}
	runes := make([]rune, len(frame))
	for i, b := range frame {
		runes[i] = rune(b)
	}
	return string(runes)
}

// toLatin1 returns the bytes of a text, false when a character has none.
func toLatin1(text string) ([]byte, bool) {
	raw := make([]byte, 0, len(text))
	for _, r := range text {
		if r > 0xff {
			return nil, false
		}
		raw = append(raw, byte(r))
	}
	return raw, true
}
