package gauged_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// maxLines is where a file is two rooms in one.
const maxLines = 400

// longFiles are longer, and may only become shorter.
var longFiles = map[string]int{
	"internal/station/recall_test.go": 440,
}

// TestFileSizes holds that no file, of the tests neither, is longer than maxLines.
func TestFileSizes(t *testing.T) {
	eachFile(t, ".", func(path string) {
		if !written(path) {
			return
		}
		n, most := strings.Count(readFile(t, path), "\n"), longFiles[filepath.ToSlash(path)]
		switch {
		case n > max(maxLines, most):
			t.Errorf("%s has %d lines, and may have %d: part it by what is inside", path, n, max(maxLines, most))
		case most > 0 && n <= maxLines:
			t.Errorf("%s has %d lines: take it from the list of long files", path, n)
		}
	})
}

// maxPackage is how many lines of code, without tests, a newcomer reads in an afternoon.
const maxPackage = 5000

// largePackages are larger, and may only become smaller.
var largePackages = map[string]int{
	"internal/devices": 6100, // layouts, scanner, ports and supervisors know each other by heart
}

// TestPackageSizes holds that no package has more than maxPackage lines of code.
func TestPackageSizes(t *testing.T) {
	sizes := map[string]int{}
	eachFile(t, ".", func(path string) {
		if written(path) && !strings.HasSuffix(path, "_test.go") {
			sizes[filepath.ToSlash(filepath.Dir(path))] += strings.Count(readFile(t, path), "\n")
		}
	})
	for pkg, n := range sizes {
		if most := max(maxPackage, largePackages[pkg]); n > most {
			t.Errorf("%s has %d lines, and may have %d: part it where nothing goes up again", pkg, n, most)
		}
	}
	for pkg := range largePackages {
		if n := sizes[pkg]; n <= maxPackage {
			t.Errorf("%s has %d lines: take it from the list of large packages", pkg, n)
		}
	}
}

// maxFunction is the length of a function, in lines with its braces, that one in a
// hundred may reach.
const maxFunction = 45

// TestFunctionLengths holds that of a hundred functions one is as long as that.
func TestFunctionLengths(t *testing.T) {
	type function struct {
		name  string
		lines int
	}
	var all []function
	eachParsed(t, func(path string, fset *token.FileSet, f *ast.File) {
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok {
				all = append(all, function{path + " " + fn.Name.Name, fset.Position(fn.End()).Line - fset.Position(fn.Pos()).Line + 1})
			}
		}
	})
	slices.SortFunc(all, func(a, b function) int { return b.lines - a.lines })
	if len(all) < 1000 {
		t.Fatalf("only %d functions were found", len(all))
	}
	long := all[:len(all)/100]
	if next := all[len(long)]; next.lines >= maxFunction {
		t.Errorf("of %d functions, more than one in a hundred has %d lines: shorten one of these", len(all), maxFunction)
		for _, f := range all[:len(long)+1] {
			t.Logf("%4d %s", f.lines, f.name)
		}
	}
}

// TestExportedNamesAreDocumented: a name that others use says what it is.
func TestExportedNamesAreDocumented(t *testing.T) {
	eachParsed(t, func(path string, fset *token.FileSet, f *ast.File) {
		undocumented := func(name *ast.Ident, docs ...*ast.CommentGroup) {
			if name.IsExported() && !slices.ContainsFunc(docs, func(c *ast.CommentGroup) bool { return c != nil }) {
				t.Errorf("%s: %s has no comment", fset.Position(name.Pos()), name.Name)
			}
		}
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil || ast.IsExported(receiver(d.Recv.List[0].Type)) {
					undocumented(d.Name, d.Doc)
				}
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					switch s := spec.(type) {
					case *ast.TypeSpec:
						undocumented(s.Name, d.Doc, s.Doc, s.Comment)
					case *ast.ValueSpec:
						for _, name := range s.Names {
							undocumented(name, d.Doc, s.Doc, s.Comment)
						}
					}
				}
			}
		}
	})
}

// written says that somebody wrote the file, and no program.
func written(path string) bool {
	return strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, ".pb.go") && !strings.HasSuffix(path, ".pb.gw.go")
}

// eachParsed reads every file that somebody wrote, tests left out.
func eachParsed(t *testing.T, f func(path string, fset *token.FileSet, file *ast.File)) {
	t.Helper()
	eachFile(t, ".", func(path string) {
		if !written(path) || strings.HasSuffix(path, "_test.go") {
			return
		}
		fset := token.NewFileSet()
		parsed, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		f(filepath.ToSlash(path), fset, parsed)
	})
}
