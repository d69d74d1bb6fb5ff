package gauged_test

import (
	"go/ast"
	"slices"
	"strings"
	"testing"
)

// refuses are the packages whose errors reach a person: each of them tells a message.
var refuses = []string{"internal/station", "internal/job", "internal/lookback", "internal/server", "internal/shelf", "internal/page", "internal/simulate", "internal/access", "internal/dial"}

// faults are errors that nobody meets as the answer of a call: what went wrong in the
// program or with its files, a link that says so in the log, and marks that are compared.
var faults = map[string]bool{
	"internal/station/motion.go: the time of the capture is over":                                              true,
	"internal/job/job.go: job %d does not begin with a start":                                                  true,
	"internal/job/damaged.go: it breaks the evaluation: %v":                                                    true,
	"internal/server/forward/session.go: its first answer does not say where to go on":                         true,
	"internal/server/forward/session.go: it ended the stream":                                                  true,
	"internal/server/forward/forward.go: evaluator %q is not an address: use unix:///path, /path or host:port": true,
	"internal/server/forward/session.go: it has readings of this station up to entry %d, but the history here ends at %d: an older copy of the history is in use; put the newest one back, or begin a new one": true,
	"internal/page/say/values.go: %T are no limits": true,
	"internal/simulate/bench.go: quit":              true,
	// What is wrong with a stored fact; the refusal that tells it has a code.
	"internal/access/register.go: there is no fact of that kind": true,
	"internal/access/register.go: there is none of that name":    true,
}

// TestEveryRefusalHasACode: where people are answered, an error is a message with a code
// (gauge.Refused, gauge.WrongInput, gauge.NotFound), or wraps what the program itself met.
func TestEveryRefusalHasACode(t *testing.T) {
	seen := map[string]bool{}
	eachGoFile(t, refuses, func(path string, file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			of, ok := call.Fun.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			pkg, _ := of.X.(*ast.Ident)
			text, literal := literal(call.Args[0])
			switch {
			case pkg == nil:
			case pkg.Name == "status" && slices.Contains([]string{"Error", "Errorf", "New", "Newf"}, of.Sel.Name):
				t.Errorf("%s makes a status of its own: tell a message", path)
			case pkg.Name == "errors" && of.Sel.Name == "New", pkg.Name == "fmt" && of.Sel.Name == "Errorf" && literal && !strings.Contains(text, "%w"):
				at := path + ": " + text
				if seen[at] = true; !faults[at] {
					t.Errorf("%s makes an error without a code: %s", path, text)
				}
			}
			for _, arg := range call.Args {
				if kind, ok := arg.(*ast.SelectorExpr); ok && pkg != nil && pkg.Name == "fmt" {
					if x, ok := kind.X.(*ast.Ident); ok && x.Name == "gauge" && strings.HasPrefix(kind.Sel.Name, "Err") {
						t.Errorf("%s words a refusal in place: %s", path, text)
					}
				}
			}
			return true
		})
	})
	for at := range faults {
		if !seen[at] {
			t.Errorf("there is no longer %s", at)
		}
	}
}
