package gauged_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// needed is what tools/setup.sh lists: by program or file, the packages whose
// tests need it.
func needed(t *testing.T) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	entry := regexp.MustCompile(`(?m)^\s+"(\S+) (\S+) (\S+)"`)
	for _, m := range entry.FindAllStringSubmatch(readFile(t, "tools/setup.sh"), -1) {
		all[m[1]] = strings.Split(m[3], ",")
	}
	if len(all) < 15 {
		t.Fatalf("tools/setup.sh lists %d programs: the pattern of this test no longer fits", len(all))
	}
	return all
}

// everywhere is on any machine that can build the project, or is built by it.
var everywhere = []string{"go", "bash", "gauged", "gaugectl", "qemu-system-x86_64", "chromium", "nice", "/proc/self/exe"}

// TestSetUpListsWhatTestsRun: every program that a test starts is in the list of
// tools/setup.sh, with the package of the test.
func TestSetUpListsWhatTestsRun(t *testing.T) {
	listed := needed(t)
	found := map[string]bool{}
	eachFile(t, ".", func(path string) {
		if !strings.HasSuffix(path, "_test.go") {
			return
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		pkg := "./" + filepath.ToSlash(filepath.Dir(path))
		if pkg == "./." {
			pkg = "."
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			program, ok := started(n)
			switch {
			case !ok || slices.Contains(everywhere, program):
			case listed[program] == nil:
				t.Errorf("%s starts %s, which tools/setup.sh does not install", path, program)
			case tagged(parsed) || slices.Contains(listed[program], pkg):
				found[program] = true
			default:
				t.Errorf("%s starts %s: name %s beside it in tools/setup.sh", path, program, pkg)
			}
			return true
		})
	})
	for _, program := range []string{"pdftotext", "promtool", "ser2net", "socat", "glpsol", "protoc", "grpc_python_plugin", "node"} {
		if !found[program] {
			t.Errorf("this test did not find who starts %s", program)
		}
	}
}

// started is the program that a call starts or looks for.
func started(n ast.Node) (program string, ok bool) {
	call, ok := n.(*ast.CallExpr)
	if !ok {
		return "", false
	}
	var name string
	switch f := call.Fun.(type) {
	case *ast.SelectorExpr:
		name = f.Sel.Name
	case *ast.Ident:
		name = f.Name
	}
	at := map[string]int{"Command": 0, "LookPath": 0, "CommandContext": 1, "program": 1}
	i, ok := at[name]
	if !ok || i >= len(call.Args) {
		return "", false
	}
	text, ok := call.Args[i].(*ast.BasicLit)
	if !ok || text.Kind != token.STRING {
		return "", false
	}
	program, err := strconv.Unquote(text.Value)
	return program, err == nil
}

// tagged reports whether a file is built for a target of its own, which has a
// set-up of its own.
func tagged(f *ast.File) bool {
	return slices.Contains([]string{"pagetest", "walk"}, f.Name.Name)
}

// TestSetUpListsWhatPythonImports: every module that the Python programs of the
// tests import, and that Python does not bring, is in the list.
func TestSetUpListsWhatPythonImports(t *testing.T) {
	brought := []string{"sys", "struct", "threading", "os", "json", "time", "hashlib", "sqlite3", "itertools", "queue"}
	ours := []string{"gauged", "google_rpc_pb2", "station"} // generated, or beside it
	modules := map[string]bool{}
	line := regexp.MustCompile(`(?m)^(?:from|import) ([a-z_0-9]+)`)
	for _, path := range append(glob(t, "testdata/python/*.py"), glob(t, "examples/python/*.py")...) {
		for _, m := range line.FindAllStringSubmatch(readFile(t, path), -1) {
			if !slices.Contains(brought, m[1]) && !slices.Contains(ours, m[1]) {
				modules[m[1]] = true
			}
		}
	}
	if len(modules) < 2 {
		t.Errorf("only %v are imported: the pattern of this test no longer fits", slices.Sorted(maps.Keys(modules)))
	}
	listed := needed(t)
	for module := range modules {
		if listed["/usr/lib/python3/dist-packages/"+module+"/__init__.py"] == nil {
			t.Errorf("a test imports the Python module %s, which tools/setup.sh does not install", module)
		}
	}
}

// TestSetUpNamesPackages: the packages beside the programs are there, and
// make test-programs tests them.
func TestSetUpNamesPackages(t *testing.T) {
	out, err := exec.Command("bash", "tools/setup.sh", "tests").Output()
	if err != nil {
		t.Fatal(err)
	}
	tested := strings.Fields(string(out))
	for program, packages := range needed(t) {
		for _, pkg := range packages {
			if pkg == "-" {
				continue
			}
			if info, err := os.Stat(pkg); err != nil || !info.IsDir() {
				t.Errorf("tools/setup.sh names %s beside %s, which is no package", pkg, program)
			}
			if !slices.Contains(tested, pkg) {
				t.Errorf("tools/setup.sh tests does not name %s", pkg)
			}
		}
	}
}
