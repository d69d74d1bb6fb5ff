package recall

import "gauged/internal/words"

// toldOf is what an error tells in English; empty for none.
func toldOf(err error) string {
	if err == nil {
		return ""
	}
	return words.In(words.English).Error(err)
}
