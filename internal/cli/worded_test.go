package cli

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gauged/internal/words"

	"go.yaml.in/yaml/v4"
)

// twiceWorded are sentences that stand here and in the catalogue, with the reason.
var twiceWorded = map[string]string{}

// TestNoSentenceTwice: what the catalogue says is not worded here a second time.
func TestNoSentenceTwice(t *testing.T) {
	said := map[string]string{} // by the sentence, its key
	files, err := filepath.Glob("../words/messages/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range append(files, "../words/catalogue.yaml") {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var entries map[string]yaml.Node
		if err := yaml.Unmarshal(content, &entries); err != nil {
			t.Fatal(err)
		}
		for key, entry := range entries {
			var texts map[string]string
			if entry.Kind == yaml.MappingNode && entry.Decode(&texts) == nil {
				for _, s := range sentences(texts["en"]) {
					said[s] = key
				}
			}
		}
	}
	if len(said) < 300 {
		t.Fatalf("only %d sentences in the catalogue", len(said))
	}
	found := map[string]bool{}
	for at, text := range literals(t) {
		for _, s := range sentences(text) {
			switch key, ok := said[s]; {
			case !ok:
			case twiceWorded[s] == "":
				t.Errorf("%s: %q is worded in the catalogue as %s: say that", at, s, key)
			default:
				found[s] = true
			}
		}
	}
	for s := range twiceWorded {
		if !found[s] {
			t.Errorf("%q stands only once: it is no exception", s)
		}
	}
}

// TestTextsAreThere: every text that is said by its key is in the catalogue, with as many
// places to fill in.
func TestTextsAreThere(t *testing.T) {
	texts, said := words.In(words.English), 0
	everyNode(t, func(at string, n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok || !says(call.Fun) {
			return true
		}
		if key, ok := joined(call.Args[0]); ok {
			said++
			if _, err := texts.Say(key, make([]any, len(call.Args)-1)...); err != nil {
				t.Errorf("%s: %s", at, err)
			}
		}
		return true
	})
	if said < 40 {
		t.Errorf("only %d texts are said", said)
	}
}

// says reports whether a function is show.Say.
func says(f ast.Expr) bool {
	switch f := f.(type) {
	case *ast.Ident:
		return f.Name == "Say"
	case *ast.SelectorExpr:
		of, ok := f.X.(*ast.Ident)
		return ok && of.Name == "show" && f.Sel.Name == "Say"
	}
	return false
}

// filled are the places of a text that are filled in: %s, %.1f, {name} and [, {name?}].
var filled = regexp.MustCompile(`%[-+0-9.*]*[a-zA-Z]|\{[^}]*\}`)

// sentences are those of a text that have six words or more, without what is filled in.
func sentences(text string) (all []string) {
	text = strings.ToLower(strings.Join(strings.Fields(filled.ReplaceAllString(text, "_")), " "))
	for _, s := range regexp.MustCompile(`[.!?:](\s|$)`).Split(text, -1) {
		if s = strings.Trim(s, " \"'"); len(strings.Fields(s)) >= 6 {
			all = append(all, s)
		}
	}
	return all
}

// literals are the texts of the program, those that are joined by + as one, by their place.
func literals(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	everyNode(t, func(at string, n ast.Node) bool {
		e, ok := n.(ast.Expr)
		if !ok {
			return true
		}
		text, whole := joined(e)
		if text != "" {
			all[at] = text
		}
		return !whole
	})
	if len(all) < 500 {
		t.Fatalf("only %d texts", len(all))
	}
	return all
}

// everyNode visits the program of this directory and those below, without its tests.
func everyNode(t *testing.T, visit func(at string, n ast.Node) (deeper bool)) {
	t.Helper()
	places := token.NewFileSet()
	err := filepath.WalkDir(".", func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(places, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool { return n != nil && visit(places.Position(n.Pos()).String(), n) })
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// joined is the text of a literal, or of several with + between them; whole says that
// nothing else is among them.
func joined(e ast.Expr) (text string, whole bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind == token.STRING {
			text, err := strconv.Unquote(e.Value)
			return text, err == nil
		}
	case *ast.BinaryExpr:
		left, ok := joined(e.X)
		right, too := joined(e.Y)
		if e.Op == token.ADD && ok && too {
			return left + right, true
		}
	}
	return "", false
}
