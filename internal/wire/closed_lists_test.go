package wire

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// constants are the values of the constants of a type in a package of ours.
func constants(t *testing.T, dir, typeName string) (values []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok {
				return true
			}
			of, typed := spec.Type.(*ast.Ident)
			for i, name := range spec.Names {
				if typed && of.Name != typeName || !typed && !strings.HasPrefix(name.Name, typeName) || i >= len(spec.Values) {
					continue
				}
				if text, ok := spec.Values[i].(*ast.BasicLit); ok && text.Kind == token.STRING {
					value, err := strconv.Unquote(text.Value)
					if err != nil {
						t.Fatal(err)
					}
					values = append(values, value)
				}
			}
			return true
		})
	}
	return values
}

// complete holds a table of the contract against the constants in the source, so that a
// new one is not forgotten here.
func complete[O ~string, C comparable](t *testing.T, pairs []Pair[O, C], dir, typeName string) {
	t.Helper()
	values := constants(t, dir, typeName)
	if len(values) < 2 {
		t.Errorf("%s: %d constants of %s were found", dir, len(values), typeName)
	}
	for _, value := range values {
		if !slices.ContainsFunc(pairs, func(p Pair[O, C]) bool { return string(p.Own) == value }) {
			t.Errorf("%s: %s %q has no value in the contract", dir, typeName, value)
		}
	}
}

// TestEveryConstantIsInTheContract: what is added to a closed list of ours is added to
// the contract, too.
func TestEveryConstantIsInTheContract(t *testing.T) {
	complete(t, signKinds, "health/signs", "Kind")
	complete(t, outcomes, "evaluate", "Outcome")
	complete(t, checkVerdicts, "health/check", "Verdict")
	complete(t, distributions, "uncertainty", "Distribution")
	complete(t, errorModels, "health/recall", "Course")
	complete(t, intervalChanges, "health/drift", "Change")
	complete(t, modes, "gauge", "Mode")
	complete(t, reasons, "gauge", "Reason")
	complete(t, exitEvents, "gauge", "Event")
	complete(t, jobChanges, "job", "Kind")
}
