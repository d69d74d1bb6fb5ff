package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// unkind are the messages whose status whoever meets them gives; all others without a
// kind are input that cannot be taken.
var unkind = map[string]string{
	"refusal.several":                           "of the first",
	"refusal.study.row":                         "of its why",
	"refusal.reading.other-kind":                "FAILED_PRECONDITION",
	"refusal.reading.other-unit":                "FAILED_PRECONDITION",
	"refusal.reading.temperature-or-difference": "FAILED_PRECONDITION",
}

// ofKind are the statuses of the kinds of refusals, by the function of package gauge that
// makes one: see kinds in internal/wire.
var ofKind = map[string]string{
	"NotFound": "NOT_FOUND", "Refused": "FAILED_PRECONDITION", "WrongInput": "INVALID_ARGUMENT", "Stopped": "UNAVAILABLE",
	"UnknownCaller": "UNAUTHENTICATED", "Forbidden": "PERMISSION_DENIED",
}

// atHome are the packages whose refusals never leave the program: a person reads them.
var atHome = []string{"internal/page", "internal/cli"}

// source is what the source says.
type source struct {
	statuses map[string]map[string]bool // those of each code of a refusal that a call can answer with
	findings []finding
}

// finding is a code of a finding with the comment beside it.
type finding struct{ code, meaning string }

// scan reads the source below a directory.
func scan(root string) (*source, error) {
	s := &source{statuses: map[string]map[string]bool{}}
	files := token.NewFileSet()
	err := filepath.WalkDir(filepath.Join(root, "internal"), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		if d.IsDir() && slices.Contains(atHome, filepath.ToSlash(name)) {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(files, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		s.read(file)
		return nil
	})
	return s, err
}

// read takes up one file.
func (s *source) read(file *ast.File) {
	told := map[*ast.CallExpr]bool{} // messages whose status stands in the call around them
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			if len(n.Args) == 2 && called(n) != "" {
				if within, ok := n.Args[1].(*ast.CallExpr); ok && strings.HasPrefix(dotted(n.Args[0]), "codes.") && codeOf(within) != "" {
					s.add(codeOf(within), constantCase(strings.TrimPrefix(dotted(n.Args[0]), "codes.")))
					told[within] = true
				}
			}
			if code := codeOf(n); code != "" && !told[n] {
				s.add(code, ofKind[called(n)])
			}
		case *ast.ValueSpec:
			s.finding(n)
		}
		return true
	})
}

func (s *source) add(code, status string) {
	if s.statuses[code] == nil {
		s.statuses[code] = map[string]bool{}
	}
	s.statuses[code][status] = true
}

// status is the status of a code, or each that it can have.
func (s *source) status(code string) string {
	all := slices.Sorted(maps.Keys(s.statuses[code]))
	all = slices.DeleteFunc(all, func(status string) bool { return status == "" })
	switch {
	case len(all) > 0:
		return strings.Join(all, ", ")
	case unkind[code] != "":
		return unkind[code]
	default:
		return "INVALID_ARGUMENT"
	}
}

// finding takes up a constant that is a code of a finding.
func (s *source) finding(v *ast.ValueSpec) {
	kind := dotted(v.Type)
	if kind != "FindingCode" && kind != "Code" || len(v.Values) != 1 {
		return
	}
	if text, ok := literal(v.Values[0]); ok && v.Comment != nil {
		s.findings = append(s.findings, finding{text, strings.TrimSpace(v.Comment.Text())})
	}
}

// codeOf is the code of a refusal that a call is made with first, or nothing.
func codeOf(call *ast.CallExpr) string {
	if len(call.Args) > 0 {
		if text, ok := literal(call.Args[0]); ok && strings.HasPrefix(text, "refusal.") {
			return text
		}
	}
	return ""
}

// called is the name of the function that a call calls, without its package.
func called(call *ast.CallExpr) string {
	name := dotted(call.Fun)
	return name[strings.LastIndex(name, ".")+1:]
}

// dotted is a name of the source, with that of its package where it has one.
func dotted(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return dotted(e.X) + "." + e.Sel.Name
	}
	return ""
}

func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(l.Value)
	return text, err == nil
}

var humps = regexp.MustCompile(`([a-z])([A-Z])`)

// constantCase writes FailedPrecondition as FAILED_PRECONDITION.
func constantCase(name string) string {
	return strings.ToUpper(humps.ReplaceAllString(name, "${1}_${2}"))
}
