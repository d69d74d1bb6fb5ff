// Command rights writes the table at the end of docs/access.md: who may do what, as the one
// table of package access says. make generate runs it.
package main

import (
	"fmt"
	"os"
	"strings"

	"gauged/internal/access"
)

const (
	page  = "docs/access.md"
	begin = "<!-- make generate writes what follows -->\n"
)

func main() {
	before, err := os.ReadFile(page)
	if err == nil {
		var after string
		if after, err = written(string(before)); err == nil {
			err = os.WriteFile(page, []byte(after), 0o644)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "rights:", err)
		os.Exit(1)
	}
}

// written is the page with its table written anew.
func written(before string) (string, error) {
	byHand, _, ok := strings.Cut(before, begin)
	if !ok {
		return "", fmt.Errorf("%s: there is no line %q", page, strings.TrimSpace(begin))
	}
	var t strings.Builder
	t.WriteString(byHand + begin)
	for _, place := range []struct {
		access.Place
		head string
	}{{access.PlaceCall, "Calls"}, {access.PlacePage, "The page"}, {access.PlaceMetrics, "Metrics"}, {access.PlaceFile, "Files that are saved"}} {
		fmt.Fprintf(&t, "\n### %s\n\n| what | who | says again who they are |\n| --- | --- | --- |\n", place.head)
		for _, way := range access.Ways(place.Place) {
			need, _ := access.Needs(way)
			again := ""
			if need.Proof {
				again = "yes"
			}
			fmt.Fprintf(&t, "| `%s` | %s | %s |\n", way.Name, who(need.Right), again)
		}
	}
	return t.String(), nil
}

// who are the roles that have a right.
func who(right access.Right) string {
	if right == access.RightAnyones {
		return "anybody"
	}
	var roles []string
	for _, word := range access.RoleWords() {
		if role, _ := access.ParseRole(word); role.Has(right) {
			roles = append(roles, word)
		}
	}
	return strings.Join(roles, ", ")
}
