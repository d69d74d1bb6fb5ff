package gauge

import (
	"fmt"
	"slices"
	"strings"
)

// Nearest returns what a person may have meant by a word that is none of those
// there are: the one that differs least, when that is at most a third of its
// letters, and an empty text else.
func Nearest(word string, there []string) string {
	best, least := "", len(word)/3+1
	for _, one := range there {
		if d := distance(strings.ToLower(word), strings.ToLower(one)); d < least || d == least && best != "" && one < best {
			best, least = one, d
		}
	}
	return best
}

// mostListed is how many names a refusal lists.
const mostListed = 12

// None says that there is no such thing, what was perhaps meant, and which there are.
func None(what, word string, there []string) string {
	there = slices.Sorted(slices.Values(there))
	listed := strings.Join(there[:min(len(there), mostListed)], ", ")
	if more := len(there) - mostListed; more > 0 {
		listed += fmt.Sprintf(" and %d more", more)
	}
	switch near := Nearest(word, there); {
	case near != "":
		return fmt.Sprintf("there is no %s %q: did you mean %s? There are %s", what, word, near, listed)
	case len(there) > 0:
		return fmt.Sprintf("there is no %s %q: there are %s", what, word, listed)
	}
	return fmt.Sprintf("there is no %s %q, nor any other", what, word)
}

// distance is how many letters must be put in, left out or changed to make b of a
// (Levenshtein 1966, from memory).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := before
			if a[i] != b[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
