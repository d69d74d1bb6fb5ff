package words

import "strings"

// Known reports whether the catalogue has a language.
func Known(tag string) bool {
	for _, l := range Languages {
		if string(l.Tag) == tag {
			return true
		}
	}
	return false
}

// Preferred returns the first language of an Accept-Language header that the
// catalogue has. Browsers write them in the order of preference.
func Preferred(header string) Language {
	for part := range strings.SplitSeq(header, ",") {
		tag, _, _ := strings.Cut(part, ";")
		tag, _, _ = strings.Cut(strings.ToLower(strings.TrimSpace(tag)), "-")
		if Known(tag) {
			return Language(tag)
		}
	}
	return Languages[0].Tag
}
