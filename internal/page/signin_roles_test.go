package page

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gauged/internal/access"
)

// Each route of the page is asked for by a person of each role, at a paired device: what the
// table gives it does, and nothing else. Acts are asked for with an empty form, which is
// refused for other reasons where the role may act.
func TestEveryRouteOfThePageForEveryRole(t *testing.T) {
	asked := 0
	for _, word := range access.RoleWords() {
		role, _ := access.ParseRole(word)
		if role == access.RoleStation {
			continue // a program
		}
		r := newClosedRig(t)
		r.pair()
		r.add("P. Role", role, "1234", "")
		for _, way := range access.Ways(access.PlacePage) {
			need, _ := access.Needs(way)
			method, path, found := strings.Cut(way.Name, " ")
			if !found || path == "/leave" {
				continue
			}
			path = strings.NewReplacer("{$}", "", "{id}", "x", "{seq}", "9", "{chart}", "x", "{hash}", "x", "{version}", "x", "{name}", "x").Replace(path)
			if strings.HasSuffix(path, "/stream") && role.Has(need.Right) {
				continue // it does not end by itself
			}
			asked++
			var status int
			if method == http.MethodGet {
				r.send("/who", as("P. Role", "1234", nil))
				status, _ = r.get(path)
			} else {
				status, _, _ = r.send(path, as("P. Role", "1234", url.Values{"seen": {"0"}}))
			}
			refused := status == http.StatusUnauthorized || status == http.StatusForbidden
			if path == "/pair" && method == http.MethodPost {
				refused = false // a code is missing, whoever comes
			}
			if refused == role.Has(need.Right) {
				t.Errorf("%s asks for %s and is answered with %d", word, way.Name, status)
			}
		}
	}
	if asked < 200 {
		t.Fatalf("only %d were asked", asked)
	}
	t.Logf("%d asked, 0 open by mistake", asked)
}

// A route that is served stands in the table: else it would be closed to everybody.
func TestEveryRouteOfThePageIsInTheTable(t *testing.T) {
	files, err := filepath.Glob("*.go")
	more, failed := filepath.Glob("signin/*.go")
	if err != nil || failed != nil {
		t.Fatal(err, failed)
	}
	route := regexp.MustCompile(`mux\.Handle(?:Func)?\("([^"]+)"[,)]`)
	routes := 0
	for _, file := range append(files, more...) {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range route.FindAllSubmatch(content, -1) {
			routes++
			if _, listed := access.Needs(access.Page(string(found[1]))); !listed {
				t.Errorf("%s serves %s, which is not in the table", file, found[1])
			}
		}
	}
	if routes < 50 {
		t.Fatalf("only %d routes were found", routes)
	}
}
