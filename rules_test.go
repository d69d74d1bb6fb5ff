// Package gauged_test holds the rules of the house: who may import whom, what
// pure packages may not use, and that the documents name what exists.
package gauged_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestImports holds the table of packages of DEVELOPERS.md against the imports
// themselves: each package has its row, with what it imports of ours and no more,
// a package below another one imports none that it lies in, and the command line
// knows nothing of the daemon.
func TestImports(t *testing.T) {
	rows := importTable(t)
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "./...").Output()
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		if len(fields) == 0 || fields[0] == "gauged" {
			continue
		}
		pkg, imports := strings.TrimPrefix(fields[0], "gauged/"), []string{}
		for _, path := range fields[1:] {
			imported, ours := strings.CutPrefix(path, "gauged/")
			if !ours {
				continue
			}
			imports = append(imports, strings.TrimPrefix(imported, "internal/"))
			if strings.HasPrefix(pkg, "internal/cli") && strings.HasPrefix(imported, "internal/server") {
				t.Errorf("%s imports %s: the command line knows the contract, not the daemon; what both need lies in internal/wire", pkg, imported)
			}
			if strings.HasPrefix(pkg, imported+"/") {
				t.Errorf("%s imports %s, in which it lies: what both need belongs below them", pkg, imported)
			}
		}
		row, ok := rows[pkg]
		delete(rows, pkg)
		switch {
		case !ok:
			t.Errorf("DEVELOPERS.md has no row for package %s: it imports %s", pkg, strings.Join(imports, ", "))
		case row == "all":
		case row != strings.Join(imports, ", ") && (row != "none" || len(imports) > 0):
			t.Errorf("DEVELOPERS.md says that %s imports %s; it imports %s", pkg, row, strings.Join(imports, ", "))
		}
	}
	for pkg := range rows {
		t.Errorf("DEVELOPERS.md has a row for %s, which is not there or has no code", pkg)
	}
}

// importTable reads the packages of DEVELOPERS.md and what they import.
func importTable(t *testing.T) map[string]string {
	t.Helper()
	rows := map[string]string{}
	for line := range strings.Lines(readFile(t, "DEVELOPERS.md")) {
		cells := strings.Split(line, "|")
		if len(cells) != 6 {
			continue
		}
		for _, m := range regexp.MustCompile("`([a-z0-9/-]+)`").FindAllStringSubmatch(cells[1], -1) {
			rows[m[1]] = strings.TrimSpace(cells[3])
		}
	}
	if len(rows) < 8 {
		t.Fatalf("the table of DEVELOPERS.md has %d packages", len(rows))
	}
	return rows
}

// pure packages do no I/O, read no clock, log nothing and start nothing.
var pure = []string{"internal/gauge", "internal/table", "internal/uncertainty", "internal/evaluate", "internal/vet", "internal/library", "internal/health", "internal/chart", "internal/words", "internal/wire", "internal/history/chain"}

// drawing is where numbers may be drawn: from a PCG that the caller seeds. Its
// generator hides no state; the functions of math/rand/v2 itself do, and are
// refused there too.
var drawing = []string{"internal/uncertainty/", "internal/health/study/draw.go", "internal/health/order/"}

// readOnce reads what is in the program itself once, when it is first asked for.
const readOnce = "internal/words/embedded.go"

func TestPurePackages(t *testing.T) {
	forbidden := []string{"os", "net", "log", "log/slog", "sync", "context", "math/rand", "math/rand/v2", "os/exec"}
	eachGoFile(t, pure, func(path string, f *ast.File) {
		for _, spec := range f.Imports {
			name := strings.Trim(spec.Path.Value, `"`)
			mayDraw := slices.ContainsFunc(drawing, func(place string) bool { return strings.HasPrefix(path, place) })
			if name == "math/rand/v2" && mayDraw || name == "sync" && path == readOnce {
				continue
			}
			if slices.Contains(forbidden, name) {
				t.Errorf("%s imports %s", path, name)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s starts a goroutine", path)
			case *ast.SelectorExpr:
				x, ok := n.X.(*ast.Ident)
				switch {
				case !ok:
				case x.Name == "time" && n.Sel.Name == "Now":
					t.Errorf("%s reads the clock", path)
				case x.Name == "rand" && !slices.Contains([]string{"PCG", "NewPCG", "New"}, n.Sel.Name):
					t.Errorf("%s draws numbers that no seed repeats: rand.%s", path, n.Sel.Name)
				}
			}
			return true
		})
	})
}

// TestNoFloatDecides: floats stand only in statistics and uncertainties. What
// was measured, and the limits, are whole numbers from the frame to the
// verdict; a probability that decides is rounded first.
func TestNoFloatDecides(t *testing.T) {
	shown := []string{
		"internal/health", "internal/health/drift", "internal/chart", "internal/health/driftchart", "internal/health/check", "internal/health/study", "internal/health/studychart", "internal/uncertainty", "StdDev", "Metres", "OfMetres",
		"internal/evaluate/doubt", "internal/evaluate/believable.go",
		"internal/health/jobs", "internal/health/recall", "internal/health/signs", "internal/wire",
	}
	eachGoFile(t, pure, func(path string, f *ast.File) {
		if slices.Contains(shown, path) || slices.Contains(shown, filepath.ToSlash(filepath.Dir(path))) {
			return
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && slices.Contains(shown, fn.Name.Name) {
				continue
			}
			ast.Inspect(d, func(n ast.Node) bool {
				if id, ok := n.(*ast.Ident); ok && (id.Name == "float64" || id.Name == "float32") {
					t.Errorf("%s uses %s", path, id.Name)
				}
				return true
			})
		}
	})
}

// TestNoExitOutsideCommands: only a command may end the process.
func TestNoExitOutsideCommands(t *testing.T) {
	eachGoFile(t, []string{"internal"}, func(path string, f *ast.File) {
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			x, ok := call.X.(*ast.Ident)
			if ok && (x.Name == "os" && call.Sel.Name == "Exit" || x.Name == "log" && strings.HasPrefix(call.Sel.Name, "Fatal")) {
				t.Errorf("%s ends the process", path)
			}
			return true
		})
	})
}

func TestPackageComments(t *testing.T) {
	commented := map[string]bool{}
	eachGoFile(t, []string{"internal", "cmd"}, func(path string, f *ast.File) {
		dir := filepath.Dir(path)
		commented[dir] = commented[dir] || f.Doc != nil
	})
	if len(commented) < 8 {
		t.Fatalf("only %d packages found", len(commented))
	}
	for dir, ok := range commented {
		if !ok {
			t.Errorf("package %s has no comment", dir)
		}
	}
}

// TestDocumentsNameWhatExists: every make target, package and file that the
// documents name in code marks is there.
func TestDocumentsNameWhatExists(t *testing.T) {
	makefile := readFile(t, "Makefile")
	target := regexp.MustCompile("`make ([a-z-]+)`")
	place := regexp.MustCompile("`((?:internal|cmd|deploy|docs|api|testdata|tools)/[A-Za-z0-9_./-]*)`")
	named := 0
	for _, doc := range append([]string{"README.md", "DEVELOPERS.md", "CHANGELOG.md"}, glob(t, "docs/*.md")...) {
		content := readFile(t, doc)
		for _, m := range target.FindAllStringSubmatch(content, -1) {
			named++
			if !regexp.MustCompile(`(?m)^` + m[1] + `:`).MatchString(makefile) {
				t.Errorf("%s names make %s, which does not exist", doc, m[1])
			}
		}
		for _, m := range place.FindAllStringSubmatch(content, -1) {
			named++
			if strings.HasPrefix(m[1], "deploy/demo/run/") {
				continue // a running demo makes it
			}
			if _, err := os.Stat(m[1]); err != nil {
				t.Errorf("%s names %s, which does not exist", doc, m[1])
			}
		}
	}
	if named == 0 {
		t.Error("the documents name nothing: the patterns of this test no longer fit")
	}
}

func eachGoFile(t *testing.T, dirs []string, f func(path string, file *ast.File)) {
	t.Helper()
	files := 0
	for _, dir := range dirs {
		eachFile(t, dir, func(path string) {
			if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return
			}
			parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			files++
			f(filepath.ToSlash(path), parsed)
		})
	}
	if files == 0 {
		t.Fatalf("no Go files in %v", dirs)
	}
}

func eachFile(t *testing.T, dir string, f func(path string)) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == ".git" || d.Name() == "run" && strings.HasPrefix(path, "deploy")) {
			return filepath.SkipDir
		}
		if !d.IsDir() {
			f(path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func glob(t *testing.T, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil {
		t.Fatal(err)
	}
	return paths
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(content)
}

// TestOneWriterOfTables: CSV is written by internal/table alone, in which no text is a
// formula.
func TestOneWriterOfTables(t *testing.T) {
	eachGoFile(t, []string{"internal", "cmd"}, func(path string, f *ast.File) {
		for _, spec := range f.Imports {
			if spec.Path.Value == `"encoding/csv"` && !strings.HasPrefix(path, "internal/table/") {
				t.Errorf("%s: write tables with internal/table", path)
			}
		}
	})
}
