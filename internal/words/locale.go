package words

import (
	"cmp"
	"strings"
)

// Locale is the language that an environment asks for: that of the first of LC_ALL,
// LC_MESSAGES and LANG that is set (POSIX.1-2017, 8.2). English stands in for one that has
// no texts.
func Locale(getenv func(string) string) Language {
	tag := cmp.Or(getenv("LC_ALL"), getenv("LC_MESSAGES"), getenv("LANG")) // such as de_DE.UTF-8
	if i := strings.IndexAny(tag, "_.@"); i >= 0 {
		tag = tag[:i]
	}
	for _, l := range Languages {
		if string(l.Tag) == tag {
			return l.Tag
		}
	}
	return English
}
