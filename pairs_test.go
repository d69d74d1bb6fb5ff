package gauged_test

import (
	"go/ast"
	"maps"
	"slices"
	"testing"
)

// pairs are the methods that write a value in a form of its own, and those that
// read that form back.
var pairs = map[string]string{
	"MarshalJSON": "UnmarshalJSON", "MarshalText": "UnmarshalText", "MarshalBinary": "UnmarshalBinary",
	"MarshalYAML": "UnmarshalYAML", "GobEncode": "GobDecode", "Value": "Scan",
}

// TestWhatIsWrittenIsReadBack: a type that is written in a form of its own is
// read from that form too. One that is not is written well, stored, and an error
// for whoever reads it.
func TestWhatIsWrittenIsReadBack(t *testing.T) {
	methods := map[string]map[string]bool{} // by package and type
	eachGoFile(t, []string{"internal", "cmd", "tools"}, func(_ string, f *ast.File) {
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Recv == nil {
				continue
			}
			name := f.Name.Name + "." + receiver(fn.Recv.List[0].Type)
			if methods[name] == nil {
				methods[name] = map[string]bool{}
			}
			if fn.Name.Name != "Value" || fn.Type.Results.NumFields() == 2 { // what a database asks for gives an error too
				methods[name][fn.Name.Name] = true
			}
		}
	})
	found := 0
	for _, name := range slices.Sorted(maps.Keys(methods)) {
		for write, read := range pairs {
			if methods[name][write] && methods[name][read] {
				found++
			}
			if methods[name][write] != methods[name][read] {
				t.Errorf("%s has one of %s and %s: what is written must be read back, and the other way about", name, write, read)
			}
		}
	}
	if found < 2 {
		t.Errorf("%d pairs were found: this test no longer finds them", found)
	}
}

// receiver is the name of the type that a method belongs to.
func receiver(x ast.Expr) string {
	switch x := x.(type) {
	case *ast.StarExpr:
		return receiver(x.X)
	case *ast.IndexExpr:
		return receiver(x.X)
	case *ast.IndexListExpr:
		return receiver(x.X)
	case *ast.Ident:
		return x.Name
	}
	return ""
}
