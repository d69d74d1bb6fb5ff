package shopfile

import (
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// read is a small schema that uses every kind of value.
func read(content string) (string, error) {
	d := Parse("shop.yaml", []byte(content))
	m := d.Root().Map()
	m.Need("id").Word()
	u := m.Need("unit").Unit()
	size := m.Get("size").Length(u)
	m.Get("count").Int(1, 9)
	m.Get("wait").Duration()
	m.Get("on").Bool()
	m.Get("names").Texts()
	m.Get("aim").OneOf("middle", "thickest")
	m.Done()
	return size.Text(u, 3), d.Err()
}

func TestProblemsNameEveryPlace(t *testing.T) {
	cases := []struct{ name, content, want string }{
		{"unknown key", "id: a\nunit: mm\nsise: 1\n", `shop.yaml:3:1: "sise" is not a key here: did you mean size?`},
		{"missing keys", "size: 1\n", "shop.yaml:1:1: \"id\" is missing\nshop.yaml:1:1: \"unit\" is missing"},
		{"all in one pass", "id: -x\nunit: cm\ncount: 0\nwait: 3\naim: most\n", "" +
			"shop.yaml:1:5: \"-x\" is not a name: use letters, digits, - . and _, beginning with a letter or digit\n" +
			"shop.yaml:2:7: unknown unit \"cm\": use mm, in or um\n" +
			"shop.yaml:3:8: \"0\" is not a whole number from 1 to 9\n" +
			"shop.yaml:4:7: \"3\" is not a time: write a number and a unit, such as 250ms, 3s or 2h\n" +
			"shop.yaml:5:6: \"most\" is not known here: use middle, thickest"},
		{"comma", "id: a\nunit: mm\nsize: 1,5\n", `shop.yaml:3:7: "1,5" is not a length: the decimal sign must be a point, not a comma: write 1.5 (mm)`},
		{"exponent", "id: a\nunit: mm\nsize: 1e3\n", `shop.yaml:3:7: "1e3" is not a length: it is not a plain decimal number`},
		{"twice", "id: a\nid: b\nunit: mm\n", `shop.yaml:2:1: "id" stands here twice`},
		{"alias", "id: &x a\nunit: mm\naim: *x\n", "shop.yaml:3:6: anchors and aliases are not used in these files: write the value out"},
		{"list for a scalar", "id: [a]\nunit: mm\n", "shop.yaml:1:5: one value is needed here"},
		{"null", "id: a\nunit:\n", "shop.yaml:2:6: a unit (mm, in or um) is needed here"},
		{"not a mapping", "- a\n", "shop.yaml:1:1: a mapping (key: value) is needed here"},
		{"empty", "", "shop.yaml:1:1: the file is empty"},
		{"only a comment", "# nothing\n", "shop.yaml:1:1: the file is empty"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(c.content)
			if err == nil {
				t.Fatalf("no problem found, want\n%s", c.want)
			}
			if got := err.Error(); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

func TestSyntaxErrorHasItsLine(t *testing.T) {
	_, err := read("id: a\nunit: [mm\nsize: 1\n")
	if err == nil || !strings.HasPrefix(err.Error(), "shop.yaml:") {
		t.Fatalf("got %v", err)
	}
	if strings.HasPrefix(err.Error(), "shop.yaml:1:1:") {
		t.Errorf("a syntax error in line 2 or 3 is reported at the start of the file: %v", err)
	}
}

func TestTooLarge(t *testing.T) {
	_, err := read("id: " + strings.Repeat("a", MaxSize))
	if err == nil || !strings.Contains(err.Error(), "at most 1048576 are read") {
		t.Errorf("got %v", err)
	}
}

// TestManyProblems: a file that is something else does not give pages of problems.
func TestManyProblems(t *testing.T) {
	_, err := read("id: a\nunit: mm\n" + strings.Repeat("unit: mm\n", 1000))
	lines := strings.Split(errText(err), "\n")
	if len(lines) != mostShown+1 || lines[0] != `shop.yaml:3:1: "unit" stands here twice` || lines[mostShown] != "shop.yaml:203:1: 800 more problems from here on" {
		t.Errorf("%d lines, the first %s, the last %s", len(lines), lines[0], lines[len(lines)-1])
	}
	_, err = read("id: a\nunit: mm\nsize: 1" + strings.Repeat("0", 100_000) + "\n")
	if got := errText(err); len(got) > 500 || !strings.HasPrefix(got, `shop.yaml:3:7: "1000`) || !strings.Contains(got, `000..." is not a length`) {
		t.Errorf("%d bytes: %.80s", len(got), got)
	}
}

// TestTwoUnits: an inch column ten times too large and a row whose columns do
// not agree are mistakes that published tables contain (TM 9-2320-303-24-2
// WP 0248 00 p.51 prints 4.844 mm as 0.192 in).
func TestTwoUnits(t *testing.T) {
	cases := []struct{ size, want string }{
		{"{mm: 1.500, in: 0.0591}", ""},
		{"{mm: 4.843, in: 0.191}", ""},
		{"{mm: 25.4, in: 1.0000}", ""},
		{"{mm: 4.844, in: 0.192}", "shop.yaml:3:23: 0.192 in does not agree with the mm column, which says 0.191 in: find out which of them is right"},
		{"{mm: 1.524, in: 0.0595}", "shop.yaml:3:23: 0.0595 in does not agree with the mm column, which says 0.0600 in: find out which of them is right"},
		{"{mm: 1.520, in: 0.0598}", ""},
		{"{mm: 1.828, in: 0.071}", "shop.yaml:3:23: 0.071 in is 1.828 mm with digits cut off, not rounded, which gives 0.072 in: if the second column is printed so, say second_column: cut off; else look for a slip of the pen"},
		{"{mm: 1.82, in: 0.0720}", "shop.yaml:3:22: 1.82 mm is 0.0720 in with digits cut off, not rounded: if the columns are printed so, say second_column: cut off; else look for a slip of the pen"},
		{"{mm: 1.84, in: 0.0720}", "shop.yaml:3:22: 0.0720 in does not agree with the mm column, which says 0.0724 in: find out which of them is right"},
		{"{mm: 1.500, in: 0.591}", "shop.yaml:3:23: 0.591 in is ten times too large for the mm column: 1.500 mm is 0.0591 in"},
		{"{mm: 1.500, in: 0.00591}", "shop.yaml:3:23: 0.00591 in is ten times too small for the mm column: 1.500 mm is 0.059055 in"},
		{"{mm: 0.059, in: 1.5}", "shop.yaml:3:23: 0.059 in is as long as 1.5 mm: the two columns are swapped"},
		{"{mm: 1.5, in: NaN}", `shop.yaml:3:21: "NaN" is not a length: it is not a plain decimal number`},
		{"{mm: 1e400, in: 1}", `shop.yaml:3:12: "1e400" is not a length: it is not a plain decimal number`},
		{"{in: 0.0591}", `shop.yaml:3:7: "mm" is missing`},
		{"{mm: 1.5, inch: 0.059}", `shop.yaml:3:17: "inch" is not a key here; the keys are in, mm, um`},
	}
	for _, c := range cases {
		size, err := read("id: a\nunit: mm\nsize: " + c.size + "\n")
		if got := errText(err); got != c.want {
			t.Errorf("%s: got %s, want %s", c.size, got, c.want)
		}
		if c.want == "" && !strings.Contains(c.size, size[:3]) {
			t.Errorf("%s is read as %s mm", c.size, size)
		}
	}
}

// TestSecondColumnCutOff: where the file says that the coarser column has its
// digits cut off, such a pair agrees, and a slip is still one.
func TestSecondColumnCutOff(t *testing.T) {
	cases := []struct{ size, want string }{
		{"{mm: 1.828, in: 0.071}", ""},
		{"{mm: 1.82, in: 0.0720}", ""},
		{"{mm: 1.828, in: 0.072}", ""},
		{"{mm: 1.828, in: 0.070}", "shop.yaml:3:23: 0.070 in does not agree with the mm column, which says 0.072 in: find out which of them is right"},
		{"{mm: -1.828, in: 0.071}", "shop.yaml:3:24: 0.071 in does not agree with the mm column, which says -0.072 in: find out which of them is right"},
	}
	for _, c := range cases {
		d := Parse("shop.yaml", []byte("second_column: cut off\n\nsize: "+c.size+"\n"))
		m := d.Root().Map()
		d.SecondColumn(m.Get("second_column"))
		m.Need("size").Length(gauge.Millimetre)
		if got := errText(d.Err()); got != c.want {
			t.Errorf("%s: got %s, want %s", c.size, got, c.want)
		}
	}
}

// TestUnitsOfOtherKinds: a unit of length is needed unless the schema says otherwise.
func TestUnitsOfOtherKinds(t *testing.T) {
	const all = "use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number"
	cases := []struct{ unit, size, want string }{
		{"N m", "0.35", ""},
		{"1", "12", ""},
		{"mm", "{mm: 1.500, in: 0.0591}", ""},
		{"nm", "1", `shop.yaml:1:7: unknown unit "nm": ` + all},
		{"[N]", "1", "shop.yaml:1:7: a unit, such as mm or N m, is needed here"},
		{"lbf in", "1,5", `shop.yaml:2:7: "1,5" is not a torque: the decimal sign must be a point, not a comma: write 1.5 (lbf in)`},
		{"degC", "2000000", `shop.yaml:2:7: "2000000" is not a temperature: it is larger than a million`},
		{"N m", "{N m: 1, lbf in: 8.85}", "shop.yaml:2:7: a torque is needed here"},
	}
	for _, c := range cases {
		d := Parse("shop.yaml", []byte("unit: "+c.unit+"\nsize: "+c.size+"\n"))
		m := d.Root().Map()
		u := m.Need("unit").AnyUnit()
		m.Need("size").Length(u)
		if got := errText(d.Err()); got != c.want {
			t.Errorf("%s %s: got %s, want %s", c.size, c.unit, got, c.want)
		}
	}
	_, err := read("id: a\nunit: N m\n")
	if got, want := errText(err), `shop.yaml:2:7: "N m" is a unit of torque: use mm, in or um`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestQuantity(t *testing.T) {
	cases := []struct {
		text, digits string
		unit         gauge.Unit
		want         string
	}{
		{"0.35 N m", "0.35", gauge.NewtonMetre, ""},
		{"-40.0 lbf in", "-40.0", gauge.PoundForceInch, ""},
		{"21.50 degC", "21.50", gauge.DegreeCelsius, ""},
		{"12 1", "12", gauge.One, ""},
		{"0.078 in", "0.078", gauge.Inch, ""},
		{"12", "", 0, `q:1:4: "12" has no unit: write a number, a space and the unit, such as 0.35 N m; the unit of a plain number is 1`},
		{"0.35 nm", "", 0, `q:1:4: unknown unit "nm": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number`},
		{"0,35 N m", "", 0, `q:1:4: "0,35" is not a torque: the decimal sign must be a point, not a comma`},
		{"0.35  N m", "", 0, `q:1:4: unknown unit " N m": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number`},
		{"N m", "", 0, `q:1:4: unknown unit "m": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number`},
		{"[1 N]", "", 0, "q:1:4: a number with its unit, such as 0.35 N m, is needed here"},
	}
	for _, c := range cases {
		d := Parse("q", []byte("a: "+c.text+"\n"))
		digits, unit := d.Root().Map().Need("a").Quantity()
		if got := errText(d.Err()); digits != c.digits || unit != c.unit || got != c.want {
			t.Errorf("%s: %q, %v, %s; want %q, %v, %s", c.text, digits, unit, got, c.digits, c.unit, c.want)
		}
	}
	if digits, unit := (Value{}).Quantity(); digits != "" || unit.Known() {
		t.Error("the zero Value has a quantity")
	}
}

func TestScalarsStayText(t *testing.T) {
	d := Parse("f", []byte("serial: 0123\nword: off\nsize: 0.100\nunit: in\nwait: 250ms\non: yes\n"))
	m := d.Root().Map()
	if got := m.Get("serial").Text(); got != "0123" {
		t.Errorf("serial = %q", got)
	}
	if got := m.Get("word").Text(); got != "off" {
		t.Errorf("word = %q", got)
	}
	if got := m.Get("size").Length(m.Get("unit").Unit()); got != 2_540_000_000 {
		t.Errorf("0.100 in = %d pm", got)
	}
	if got := m.Get("size").Decimals(); got != 3 {
		t.Errorf("decimals = %d", got)
	}
	if got := m.Get("wait").Duration(); got != 250*time.Millisecond {
		t.Errorf("wait = %v", got)
	}
	if !m.Get("on").Bool() {
		t.Error("yes is not true")
	}
	if err := d.Err(); err != nil {
		t.Error(err)
	}
}

func TestMissingValueIsQuiet(t *testing.T) {
	var v Value
	if v.Text() != "" || v.Word() != "" || v.Length(gauge.Inch) != 0 || v.List() != nil || v.Map().Get("x").Given() || v.Position() != "" {
		t.Error("the zero Value returned something")
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"id: a\nunit: mm\n", "a: &x [*x]\n", "- [", "{a: {b: c}}", "\x00", "a: !!binary x\n? b\n: c\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, content string) {
		_, err := read(content)
		for _, line := range strings.Split(errText(err), "\n") {
			if line == "" {
				continue
			}
			if !strings.HasPrefix(line, "shop.yaml:") && err != nil && !strings.Contains(err.Error(), "\n") {
				t.Errorf("problem without a place: %q", line)
			}
		}
	})
}

func errText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// TestWrongInside: a line of a block is a line of the file; of a folded or
// quoted text the place is where it begins.
func TestWrongInside(t *testing.T) {
	cases := []struct {
		name, content string
		column        int
		want          string
	}{
		{"block", "a:\n  text: |\n    one\n      two\n", 3, "f.yaml:4:7: x"},
		{"stripped block", "a: {}\ntext: |-\n  one\n   two\n", 2, "f.yaml:4:4: x"},
		{"past its end", "text: |\n  one\n", 1, "f.yaml:3:1: x"},
		{"folded", "text: >\n  one\n  two\n", 2, "f.yaml:1:7: x"},
		{"quoted", "text: \"one\\ntwo\"\n", 2, "f.yaml:1:7: x"},
		{"not a text", "text: [one]\n", 2, "f.yaml:1:7: x"},
		{"not there", "a: {}\n", 2, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			d := Parse("f.yaml", []byte(c.content))
			m := d.Root().Map()
			if inner := m.Get("a").Map().Get("text"); inner.Given() {
				inner.WrongInside(2, c.column, gauge.Plain("x"))
			} else {
				m.Get("text").WrongInside(2, c.column, gauge.Plain("x"))
			}
			got := ""
			if err := d.Err(); err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
