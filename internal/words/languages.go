package words

import "golang.org/x/text/language"

// Known reports whether the catalogue has a language.
func Known(tag string) bool {
	for _, l := range Languages {
		if string(l.Tag) == tag {
			return true
		}
	}
	return false
}

// Preferred returns the language of an Accept-Language header that is wanted most of
// those that the catalogue has.
func Preferred(header string) Language {
	wanted, _, err := language.ParseAcceptLanguage(header)
	if err != nil {
		return Languages[0].Tag
	}
	for _, tag := range wanted {
		if base, _ := tag.Base(); Known(base.String()) {
			return Language(base.String())
		}
	}
	return Languages[0].Tag
}
