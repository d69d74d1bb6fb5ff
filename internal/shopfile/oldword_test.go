package shopfile

import "testing"

// TestRenew: an old word is told with its place and the new one, and read as the new one;
// where old words are accepted nothing is told.
func TestRenew(t *testing.T) {
	words := []OldWord{
		{Path: "steps/*/codes", Now: "one_of"},
		{Path: "choose/aim", Now: "method", Values: map[string]string{"code": "marks"}, Plain: true},
		{Path: "unit", Values: map[string]string{"1": "number"}},
	}
	const text = "unit: 1\nsteps:\n  a: {codes: [x, y]}\n  codes: {one: 1}\nchoose: {aim: code}\naim: middle\n"
	want := `f.yaml:1:1: "unit: 1" is now written "unit: number"` + "\n" +
		`f.yaml:3:7: "codes" is now written "one_of"` + "\n" +
		`f.yaml:5:10: "aim: code" is now written "method: marks"`
	for _, accepted := range []bool{false, true} {
		doc := Parse("f.yaml", []byte(text))
		doc.Renew(words, accepted)
		m := doc.Root().Map()
		if got := m.Get("unit").Text() + " " + m.Get("choose").Map().Get("method").Text(); got != "number marks" {
			t.Errorf("read as %s", got)
		}
		if a := m.Get("steps").Map(); len(a.Get("a").Map().Get("one_of").Texts()) != 2 || !a.Get("codes").Given() {
			t.Error("a key that the shop chose is another, or one_of was not read")
		}
		err := doc.Err()
		if accepted && err != nil || !accepted && (err == nil || err.Error() != want) {
			t.Errorf("accepted %v: got\n%v\nwant\n%s", accepted, err, want)
		}
	}
	doc := Parse("f.yaml", []byte("choose: {aim: {play: 0.1}}\n"))
	doc.Renew(words, false)
	if err := doc.Err(); err != nil {
		t.Error(err)
	}
}
