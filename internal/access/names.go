package access

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/mtibben/confusables"

	"gauged/internal/gauge"
)

// named refuses a name that cannot stand for one person or program: one with signs that
// nobody sees, such as a space that does not break, and one that looks like the name of
// somebody else.
func (r Register) named(name string) error {
	for _, sign := range name {
		if !unicode.IsPrint(sign) {
			return gauge.WrongInput("refusal.access.name-sign", quoted("name", name), gauge.Text("sign", fmt.Sprintf("U+%04X", sign)))
		}
	}
	var others []string
	for other := range r.people {
		others = append(others, other)
	}
	for _, t := range r.tokens {
		others = append(others, t.Name)
	}
	for _, other := range others {
		if other != name && alike(other, name) {
			return gauge.Refused("refusal.access.name-alike", gauge.Text("name", name), gauge.Text("other", other))
		}
	}
	return nil
}

// alike reports whether two names look the same, as written or in small letters: their
// skeletons are the same (Unicode Technical Standard #39, section 4).
func alike(a, b string) bool {
	return confusables.Skeleton(a) == confusables.Skeleton(b) || small(a) == small(b) || small(confusables.Skeleton(a)) == small(confusables.Skeleton(b))
}

// small is the skeleton of a name in small letters: that of 0 is O, which is large.
func small(name string) string { return confusables.Skeleton(strings.ToLower(name)) }
