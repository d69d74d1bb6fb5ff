package gauged_test

import (
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"gauged/internal/words"
)

// TestMessagesAndTheirTexts holds the codes in the code against the texts below
// internal/words/messages: each code has a text, each text is told somewhere, and a call
// that tells a message gives the arguments that its text fills in. A code is a whole
// literal, so that it can be searched for.
func TestMessagesAndTheirTexts(t *testing.T) {
	catalogue, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	keys := messageKeys(t)
	kinds := map[string]bool{}
	for _, key := range keys {
		kind, _, _ := strings.Cut(key, ".")
		kinds[kind] = true
	}
	told := map[string]bool{}
	eachGoFile(t, []string{"internal", "cmd"}, func(path string, file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BasicLit:
				code, _ := literal(n)
				told[code] = true
				_, has := catalogue.Placeholders(code)
				if kind, _, _ := strings.Cut(code, "."); codeOfMessage.MatchString(code) && kinds[kind] && !has {
					t.Errorf("%s tells %q, which has no text", path, code)
				}
			case *ast.CallExpr:
				for i, arg := range n.Args {
					if code, ok := literal(arg); ok && slices.Contains(keys, code) {
						names, _ := catalogue.Placeholders(code)
						checkArguments(t, path, code, names, n.Args[i+1:], n.Ellipsis.IsValid() || !tells(n.Fun))
					}
				}
			}
			return true
		})
	})
	for _, key := range keys {
		if !told[key] {
			t.Errorf("nothing tells %q, which has a text below internal/words/messages", key)
		}
	}
}

// tells reports whether a function takes a code and all its arguments, and adds none.
func tells(f ast.Expr) bool {
	called, ok := f.(*ast.SelectorExpr)
	return ok && slices.Contains([]string{"Say", "tell"}, called.Sel.Name)
}

var codeOfMessage = regexp.MustCompile(`^[a-z0-9_-]+(\.[a-z0-9_-]+)+$`)

var argumentName = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)

// checkArguments holds the arguments after a code against the names of its text. An
// argument is a call whose first argument is its name. Where one is made elsewhere, those
// that are seen must fit, and others may be there.
func checkArguments(t *testing.T, path string, code string, names []string, args []ast.Expr, spread bool) {
	all := !spread
	var given []string
	for _, arg := range args {
		call, ok := arg.(*ast.CallExpr)
		if !ok || len(call.Args) == 0 {
			all = false
			continue
		}
		name, ok := literal(call.Args[0])
		if !ok || !argumentName.MatchString(name) {
			all = false
			continue
		}
		given = append(given, name)
		if !slices.Contains(names, name) && !slices.Contains(names, name+"?") {
			t.Errorf("%s gives %q to %q, which fills in %s", path, name, code, strings.Join(names, ", "))
		}
	}
	for _, name := range names {
		if all && !strings.HasSuffix(name, "?") && !slices.Contains(given, name) {
			t.Errorf("%s lacks the argument %q of %q", path, name, code)
		}
	}
}

func literal(e ast.Expr) (string, bool) {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(lit.Value)
	return text, err == nil
}

// messageKeys are the codes with a text below messages, but those of the parts that
// package words makes itself.
func messageKeys(t *testing.T) (keys []string) {
	files, err := filepath.Glob("internal/words/messages/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, path := range files {
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		var texts map[string]yaml.Node
		if err := yaml.Unmarshal(content, &texts); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		for key := range texts {
			if !strings.HasPrefix(key, "list.") {
				keys = append(keys, key)
			}
		}
	}
	slices.Sort(keys)
	return keys
}

// TestEvaluationsMakeNoSentences: what goes into an evaluation is a code and arguments.
// Only errors, which end an evaluation, are text.
func TestEvaluationsMakeNoSentences(t *testing.T) {
	const fewest = 6                                        // words of a sentence
	const expressions = "internal/evaluate/doubt/worked.go" // text all the same: the expression of a sum
	eachGoFile(t, []string{"internal/evaluate"}, func(path string, file *ast.File) {
		if dir := filepath.ToSlash(filepath.Dir(path)); dir != "internal/evaluate" && dir != "internal/evaluate/doubt" && dir != "internal/evaluate/combine" && dir != "internal/evaluate/compute" && dir != "internal/evaluate/suspect" {
			return
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				f, ok := n.Fun.(*ast.SelectorExpr)
				return !ok || f.Sel.Name != "Errorf" && f.Sel.Name != "New"
			case *ast.Field:
				return n.Tag == nil
			case *ast.BasicLit:
				if text, ok := literal(n); ok && len(strings.Fields(text)) >= fewest && !strings.HasPrefix(text, ": ") && path != expressions {
					t.Errorf("%s makes the sentence %q", path, text)
				}
			}
			return true
		})
	})
}
