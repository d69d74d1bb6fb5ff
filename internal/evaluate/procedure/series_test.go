package procedure

import (
	"strings"
	"testing"
)

// TestSeriesMarks: marks of a series stand as a list, in any order, or are
// counted, with the letters that printed tables leave out.
func TestSeriesMarks(t *testing.T) {
	const series = "family: f\ntitle: t\nunit: mm\nseries: {from: 2.80, to: 3.80, step: 0.10, marks: MARKS}\n"
	cases := []struct{ marks, want, problem string }{
		{"{from: A, skip: I}", "A B C D E F G H J K L", ""},
		{"{from: A, to: L, skip: [I, O]}", "A B C D E F G H J K L", ""},
		{"{from: 7}", "7 8 9 10 11 12 13 14 15 16 17", ""},
		{"[red, blue, 1, 2, 3, 4, 5, plain, K, L, M]", "red blue 1 2 3 4 5 plain K L M", ""},
		{"{from: A, to: L}", "", "f.yaml:4:65: counted from A the thickest grade is marked K, not L: look for a letter that is left out, and give it under skip"},
		{"{from: T}", "", "f.yaml:4:58: after 7 marks from T on there is none left, but the series has 11 grades: give the marks as a list"},
		{"[A, B]", "", "f.yaml:4:51: the series has 11 grades, but 2 marks are given"},
		{"[A, B, C, D, E, F, G, H, I, J, A]", "", `f.yaml:4:82: the marking "A" is taken, see f.yaml:4:52`},
		{"{form: A}", "", `f.yaml:4:52: "form" is not a key here: did you mean from?`},
	}
	for _, c := range cases {
		f, err := ReadFamily("f.yaml", []byte(strings.Replace(series, "MARKS", c.marks, 1)))
		if c.problem != "" {
			if err == nil || !strings.Contains(err.Error(), c.problem) {
				t.Errorf("%s: got %v, want %s", c.marks, err, c.problem)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.marks, err)
			continue
		}
		var marks []string
		for _, g := range f.Grades {
			marks = append(marks, g.Mark)
		}
		if got := strings.Join(marks, " "); got != c.want {
			t.Errorf("%s: %s, want %s", c.marks, got, c.want)
		}
	}
}

// TestUnevenSteps: a thickness out of line and a missing row are pointed out,
// kits that have no step of their own are not. The kits are those of several
// published manuals (0.10/.12/.15/.18/.30/.40/.50 mm, 0.10/.15/.20/.30/.40/.50 mm,
// 0.003/.005/.010/.030 in).
func TestUnevenSteps(t *testing.T) {
	cases := []struct{ more, thicknesses, want string }{
		{"", "1.40 1.45 1.50 1.55 1.60", ""},
		{"", "1.40 1.45 1.50 1.56 1.60 1.65", "f.yaml:8:30: 1.56 mm stands unevenly between 1.5 mm and 1.6 mm: in steps of 0.05 mm it would be 1.55 mm: look for a slip of the pen or a missing row; if it is printed so, say steps: uneven"},
		{"", "1.40 1.46 1.50 1.55 1.60 1.65", "f.yaml:6:30: 1.46 mm stands unevenly between 1.4 mm and 1.5 mm: in steps of 0.05 mm it would be 1.45 mm: look for a slip of the pen or a missing row; if it is printed so, say steps: uneven"},
		{"", "1.40 1.45 1.50 1.60 1.65 1.70", "f.yaml:8:30: from 1.5 mm to 1.6 mm is a step of 0.1 mm among steps of 0.05 mm: look for a slip of the pen or a missing row; if it is printed so, say steps: uneven"},
		{"", "1.40 1.45 1.50 1.55 1.62", "f.yaml:9:30: from 1.55 mm to 1.62 mm is a step of 0.07 mm among steps of 0.05 mm: look for a slip of the pen or a missing row; if it is printed so, say steps: uneven"},
		{"steps: uneven\n", "1.40 1.45 1.50 1.56 1.60 1.65", ""},
		{"", "0.10 0.12 0.15 0.18 0.30 0.40 0.50", ""},
		{"", "0.10 0.15 0.20 0.30 0.40 0.50", ""},
		{"", "0.003 0.005 0.010 0.030", ""},
		{"", "0.0551 0.0571 0.0591 0.0610 0.0630 0.0650", ""}, // 1.40 to 1.65 mm in rounded inches
	}
	for _, c := range cases {
		content := "family: f\ntitle: t\nunit: mm\ngrades:\n"
		for _, thickness := range strings.Fields(c.thicknesses) {
			content += "  - {part: p" + thickness + ", thickness: " + thickness + "}\n"
		}
		f, err := ReadFamily("f.yaml", []byte(content+c.more))
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if err := f.CheckSteps(); err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s: got %s\nwant %s", c.thicknesses, got, c.want)
		}
	}
}
