package station

import (
	"encoding"
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// stored are the shapes of what facts keep, by their names.
var stored = map[string]any{
	"LabelledData": &job.LabelledData{},
	"StartedData":  &job.StartedData{}, "TakenData": &job.TakenData{}, "DiscardedData": &job.DiscardedData{}, "ChosenData": &job.ChosenData{},
	"FittedData": &job.FittedData{}, "ClosedData": &job.ClosedData{}, "CheckedData": &health.CheckedData{}, "StandingData": &health.StandingData{},
	"StudiedData": &health.StudiedData{}, "VerdictData": &job.VerdictData{}, "VoidedData": &health.VoidedData{}, "LeftData": &health.LeftData{}, "RecalledData": &health.RecalledData{}, "BegunData": &health.BegunData{}, "StepData": &health.StepData{}, "RoundData": &job.RoundData{}, "AsideData": &job.AsideData{}, "ResumedData": &job.ResumedData{}, "SerialData": &job.SerialData{}, "GaugesData": &job.GaugesData{}, "evaluate.Evaluation": &evaluate.Evaluation{},
}

// TestWhatIsStoredIsReadBack: every field of everything that facts keep comes
// back as it was stored, and is stored again in the same bytes.
func TestWhatIsStoredIsReadBack(t *testing.T) {
	for name, data := range stored {
		f := filler{t: t}
		f.fill(name, reflect.ValueOf(data).Elem())
		text := job.Marshal(data)
		back := reflect.New(reflect.TypeOf(data).Elem()).Interface()
		if err := json.Unmarshal(text, back); err != nil {
			t.Errorf("%s is stored as %s and not read back: %v", name, text, err)
			continue
		}
		if !reflect.DeepEqual(back, data) {
			t.Errorf("%s: a field is not stored or not read back:\n%s", name, text)
		}
		if again := job.Marshal(back); string(again) != string(text) {
			t.Errorf("%s is stored as\n%s\nand comes back as\n%s", name, text, again)
		}
	}
}

// filler gives every field that is stored a value of its own.
type filler struct {
	t testing.TB
	n int
}

func (f *filler) fill(name string, v reflect.Value) {
	f.n++
	switch at := v.Addr().Interface().(type) {
	case *time.Time:
		*at = time.Date(2026, 3, 4, 5, 6, 7, 1000*f.n, time.UTC)
		return
	case *json.RawMessage:
		*at = json.RawMessage(`{"figure":0.1}`)
		return
	case *gauge.Message:
		*at = gauge.Say(name, gauge.Count("n", f.n))
		return
	case *gauge.Unit:
		*at = gauge.Inch
		return
	case encoding.TextUnmarshaler:
		f.t.Fatalf("%s: this test knows no value of %T", name, at)
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(name)
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(f.n))
	case reflect.Uint64:
		v.SetUint(uint64(f.n))
	case reflect.Float64:
		v.SetFloat(float64(f.n) / 10)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.fill(name, v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		f.fill(name, v.Index(0))
		f.fill(name, v.Index(1))
	case reflect.Map:
		value := reflect.New(v.Type().Elem()).Elem()
		f.fill(name, value)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(reflect.ValueOf(name).Convert(v.Type().Key()), value)
	case reflect.Struct:
		for i := range v.NumField() {
			if field := v.Type().Field(i); field.IsExported() && field.Tag.Get("json") != "-" {
				f.fill(name+"."+field.Name, v.Field(i))
			}
		}
	default:
		f.t.Fatalf("%s: this test knows no value of %s", name, v.Type())
	}
}

// nameOf is a name, whatever package it is of; empty: it is none.
func nameOf(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

// TestAllThatIsStoredIsListed: every shape that is read from a fact is in the
// list of the test above.
func TestAllThatIsStoredIsListed(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, below := range []string{"../job/*.go", "../health/*.go"} {
		more, err := filepath.Glob(below)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, more...)
	}
	var read []string
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			x, ok := n.(*ast.IndexExpr)
			if !ok {
				return true
			}
			if by := nameOf(x.X); by == "Unmarshal" {
				name := nameOf(x.Index)
				if stored[name] == nil {
					t.Errorf("%s: what %s reads here has no name, or is not in the list of what is stored", path, by)
					return true
				}
				read = append(read, name)
			}
			return true
		})
	}
	for name := range stored {
		if name != "evaluate.Evaluation" && !slices.Contains(read, name) {
			t.Errorf("%s is listed and not read anywhere", name)
		}
	}
}
