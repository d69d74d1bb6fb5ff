package gauge

import (
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

// Others is the argument of a refusal that there is no such thing: what was perhaps
// meant, and which there are. A text has it right behind the name that is none.
func Others(name, word string, there []string) Arg {
	there = slices.Sorted(slices.Values(there))
	listed := Texts("there", there[:min(len(there), mostListed)])
	if more := len(there) - mostListed; more > 0 {
		listed = Nested("there", Say("because.others.more", listed, Count("more", more)))
	}
	switch near := Nearest(word, there); {
	case near != "":
		return Nested(name, Say("because.others.near", Text("near", near), listed))
	case len(there) > 0:
		return Nested(name, Say("because.others.there", listed))
	}
	return Nested(name, Say("because.others.none"))
}

// distance is how many letters must be put in, left out or changed to make b of a;
// two that stand in each other's place count as one (Damerau 1964 and Levenshtein 1966,
// from memory).
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range len(b) + 1 {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := rows[i-1][j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			rows[i][j] = min(change, rows[i][j-1]+1, rows[i-1][j]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
