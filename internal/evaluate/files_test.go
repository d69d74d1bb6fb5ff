package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestProcedureProblems edits a good procedure and expects the exact problem.
func TestProcedureProblems(t *testing.T) {
	cases := []struct{ name, old, new, want string }{
		{"unknown key", "title: Ring for end play", "titel: Ring for end play", "ring.yaml:2:1: \"titel\" is not a key here: did you mean title?"},
		{"unknown unit", "unit: mm", "unit: inch", `ring.yaml:3:7: unknown unit "inch": use mm, in or um`},
		{"missing link", "depth - height + gasket", "depth - hight + gasket", `ring.yaml:9:6: "hight" is not known here: did you mean height?`},
		{"later value", "gap: depth", "values: {a: b, b: depth}\ngap: depth", `ring.yaml:9:13: "b" is not known here: name a measurement, a constant or a value that stands above`},
		{"name taken", "gasket: {value", "depth: {value", "ring.yaml:8:3: the name \"depth\" is taken, see ring.yaml:5:3\nring.yaml:9:6: \"gasket\" is not known here: name a measurement, a constant or a value that stands above"},
		{"product of lengths", "depth - height + gasket", "depth * height", `ring.yaml:9:6: "depth * height" cannot be computed: a length is needed here, it is another quantity`},
		{"min above max", "play: {min: 0.10, max: 0.20}", "play: {min: 0.20, max: 0.10}", "ring.yaml:10:15: min 0.20 is greater than max 0.10"},
		{"one limit", "play: {min: 0.10, max: 0.20}", "play: {max: 0.20}", "ring.yaml:10:8: give both min and max: a part cannot be chosen with one limit"},
		{"two words", "play: {min: 0.10, max: 0.20}", "play: {min: 0.10, max: 0.20}, preload: {min: 0, max: 1}", "ring.yaml:10:8: give exactly one of play, preload or result"},
		{"decimal comma", "min: 0.10, max: 0.20", "min: \"0,10\", max: 0.20", `ring.yaml:10:21: "0,10" is not a length: the decimal sign must be a point, not a comma: write 0.10 (mm)`},
		{"negative count", "repeats: 3", "repeats: -3", "ring.yaml:5:49: \"-3\" is not a whole number from 1 to 200\nring.yaml:5:60: readings can only agree when there are at least two: set repeats to 2 or more"},
		{"not a number", "value: 0.30", "value: NaN", `ring.yaml:8:19: "NaN" is not a length: it is not a plain decimal number`},
		{"no choice rule", "choose: {method: middle}\n", "", `ring.yaml:1:1: "choose" is missing`},
		{"no purpose", ring[strings.Index(ring, "allow"):], "", "ring.yaml:9:6: nothing says what the gap is for: judge it with allow: {result: ...}, choose from parts, or say part: made to size"},
		{"aim outside", "method: middle", "aim: {play: 0.3}", "ring.yaml:12:15: the aim is outside the allowed limits"},
		{"both kinds of part", "parts: rings", "parts: rings\npart: made to size", "ring.yaml:12:7: a part is chosen from a family or made to size, not both: remove parts or part"},
		{"verify refers to before", "play: end_play", "play: end_play - depth", `ring.yaml:16:9: "depth" is not known here: name a measurement, a constant or a value that stands above`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			content := strings.Replace(ring, c.old, c.new, 1)
			if content == ring {
				t.Fatal("the edit changed nothing")
			}
			_, err := readProcedure("ring.yaml", []byte(content))
			checkError(t, err, c.want)
		})
	}
}

const tableFamily = `family: table
title: Table
unit: mm
row_step: 0.001
grades:
  - {part: a, serves: {max: 4.843}}
  - {part: b, serves: {min: 4.844, max: 5.113}}
  - {part: c, serves: {min: 5.114, max: 5.383}}
`

func TestFamilyProblems(t *testing.T) {
	cases := []struct{ name, from, old, new, want string }{
		{"empty family", rings, rings[strings.Index(rings, "\n  - {part: R150"):], " []\n", "rings.yaml:4:9: the family has no grades"},
		{"no grades at all", rings, rings[strings.Index(rings, "grades:"):], "", `rings.yaml:1:1: "grades" is missing`},
		{"same part", rings, "R155", "R150", `rings.yaml:6:12: the part number "R150" is taken, see rings.yaml:5:12`},
		{"same mark", rings, "mark: B", "mark: A", `rings.yaml:6:24: the marking "A" is taken, see rings.yaml:5:24`},
		{"order", rings, "thickness: 1.55", "thickness: 1.45", "rings.yaml:6:38: 1.45 mm does not follow 1.5 mm of the row before: write the rows in rising order, and look for a slip of the pen"},
		{"zero thickness", rings, "thickness: 1.50", "thickness: 0", "rings.yaml:5:38: 0 must be greater than zero"},
		{"negative stock", rings, "stock: 3", "stock: -1", `rings.yaml:7:51: "-1" is not a whole number from 0 to 1000000`},
		{"thickness min above max", rings, "thickness: 1.50", "thickness: {min: 1.52, max: 1.48}", "rings.yaml:5:38: min 1.52 is greater than max 1.48\nrings.yaml:6:38: 1.55 mm does not follow"},
		{"tolerance above the step", rings, "tolerance: 0.01", "tolerance: 0.1", "rings.yaml:6:38: the tolerance of 0.1 mm is larger than the step of 0.05 mm from the row before: such grades cannot be told apart; look for a slip of the pen\nrings.yaml:7:38: the tolerance of 0.1 mm is larger than the step of 0.05 mm from the row before: such grades cannot be told apart; look for a slip of the pen"},
		{"second column", rings, "thickness: 1.55", "thickness: {mm: 1.55, in: 0.61}", `rings.yaml:6:53: 0.61 in is ten times too large for the mm column: 1.55 mm is 0.061 in`},
		{"no thickness", rings, "thickness: 1.50", "", "rings.yaml:5:5: give the thickness, or for a table by the gap the gaps that it serves"},
		{"hole", tableFamily, "min: 4.844", "min: 4.850", "rings.yaml:7:23: there is a hole: no row serves gaps between 4.843 and 4.85 mm; if the table is written in whole steps, give row_step; if it is printed so, say holes: accepted"},
		{"hole without steps", tableFamily, "row_step: 0.001\n", "", "rings.yaml:6:23: there is a hole: no row serves gaps between 4.843 and 4.844 mm; if the table is written in whole steps, give row_step; if it is printed so, say holes: accepted\nrings.yaml:7:23: there is a hole: no row serves gaps between 5.113 and 5.114 mm; if the table is written in whole steps, give row_step; if it is printed so, say holes: accepted"},
		{"overlap", tableFamily, "min: 5.114", "min: 5.100", "rings.yaml:8:23: rows overlap: gaps from 5.1 to 5.113 mm are served twice"},
		{"border not stated", tableFamily, "min: 5.114", "min: 5.113", "rings.yaml:8:23: a gap of 5.113 mm is served by this row and the row before: say border: lower row or border: upper row"},
		{"open row inside", tableFamily, "max: 5.113", "", "rings.yaml:8:23: an open row can only be the first or the last: give max of the row before and min of this row"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			content := strings.Replace(c.from, c.old, c.new, 1)
			if content == c.from {
				t.Fatal("the edit changed nothing")
			}
			_, err := procedure.ReadFamily("rings.yaml", []byte(content))
			if strings.HasSuffix(c.want, "does not follow") { // a follow-up whose text does not matter
				if err == nil || !strings.HasPrefix(err.Error(), strings.SplitAfter(c.want, "\n")[0][:40]) {
					t.Errorf("got %v", err)
				}
				return
			}
			checkError(t, err, c.want)
		})
	}
}

// TestLengthsInTwoUnits: the file's unit counts, the other column is checked.
func TestLengthsInTwoUnits(t *testing.T) {
	content := strings.NewReplacer("thickness: 1.50", "thickness: {mm: 1.50, in: 0.059}", "thickness: 1.55", "thickness: {min: {mm: 1.54, in: 0.0606}, max: 1.56}").Replace(rings)
	f, err := procedure.ReadFamily("rings.yaml", []byte(strings.Replace(content, ", tolerance: 0.01", "", 1)))
	if err != nil {
		t.Fatal(err)
	}
	if *f.Grades[0].Thickness != mm("1.5") || *f.Grades[1].Thickness != mm("1.55") || *f.Grades[1].Tolerance != mm("0.01") {
		t.Errorf("got %d, %d within %d", *f.Grades[0].Thickness, *f.Grades[1].Thickness, *f.Grades[1].Tolerance)
	}
}

func TestTableBorderRule(t *testing.T) {
	proc := "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\ngap: g\nparts: table\nchoose: {method: table}\n"
	p, err := readProcedure("p.yaml", []byte(proc))
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct{ border, gap, part string }{
		{"lower row", "5.113", "b"},
		{"upper row", "5.113", "c"},
		{"lower row", "5.1135", "c"}, // half a step: to even, 5.114
		{"lower row", "5.1125", "b"}, // half a step: to even, 5.112
		{"lower row", "4.0", "a"},
		{"lower row", "5.384", ""},
	}
	for _, c := range cases {
		content := strings.Replace(tableFamily, "min: 5.114", "min: 5.113", 1) + "border: " + c.border + "\n"
		f, err := procedure.ReadFamily("table.yaml", []byte(content))
		if err != nil {
			t.Fatal(err)
		}
		e, err := Evaluate(p, f, compute.Input{Readings: []procedure.Reading{{Measurement: "g", Value: mm(c.gap), Shown: c.gap, Unit: p.Unit}}})
		if err != nil {
			t.Fatal(err)
		}
		if got := choiceOf(e); got != c.part {
			t.Errorf("gap %s with %s: %q, want %q", c.gap, c.border, got, c.part)
		}
	}
}

func TestReadingsProblems(t *testing.T) {
	p, err := readProcedure("ring.yaml", []byte(ring))
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct{ name, content, want string }{
		{"empty", "", "r.csv:1:1: the file is empty: it begins with a line of column names, here measurement, value, unit at least"},
		{"unknown column", "measurement,value,units\n", "r.csv:1:1: there is no column unit among measurement, value, units: add it\nr.csv:1:19: the column units is not known: leave it out, or use measurement, value, unit, gauge, discarded"},
		{"missing column", "measurement,value\n", "r.csv:1:1: there is no column unit among measurement, value: add it"},
		{"misspelt measurement", "measurement,value,unit\nhieght,1,mm\n", `r.csv:2:1: column measurement: procedure ring has no measurement "hieght": did you mean height?`},
		{"unknown measurement", "measurement,value,unit\nwidth,1,mm\n", `r.csv:2:1: column measurement: procedure ring has no measurement "width"`},
		{"comma", "measurement,value,unit\ndepth,25,4,mm\n", "r.csv:2:12: the line has 4 cells, 1 more than there are column names: write a point as the decimal sign, and put quotes around a text with a comma in it"},
		{"quoted comma", "measurement,value,unit\ndepth,\"25,4\",mm\n", `r.csv:2:7: column value: "25,4" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names`},
		{"wrong unit", "measurement,value,unit\ndepth,1.001,in\n", "r.csv:2:13: column unit: 1.001 in was not taken: procedure ring measures in millimetres only; switch the gauge to millimetres and read again, or use a gauge that shows millimetres"},
		{"no unit", "measurement,value,unit\ndepth,25.4,\n", `r.csv:2:12: column unit: depth: "25.4" has no unit: write it as 25.4 mm, 25.4 in or 25.4 um`},
		{"short line", "measurement,value,unit\ndepth,25.4\n", "r.csv:2:11: the line has 2 of 3 cells; missing: unit. Write a comma for each cell, also for an empty one"},
		{"header alone", "measurement,value,unit\n", "r.csv:1:1: there are no rows under the line of column names: write one for each line of the table"},
		{"two decimal signs", "Measurement;Value;Unit\ndepth;25,4;mm\ndepth;25.4;mm\n", "r.csv:3:7: column Value: \"25.4\" has a point, and in line 2 the decimal sign is a comma: write all numbers alike, and nothing between the thousands"},
		{"two problems", "measurement,value,unit\ndepth,x,mm\ndepth,,mm\n", "r.csv:2:7: column value: \"x\" is not a length: it is not a plain decimal number\nr.csv:3:7: column value: \"\" is not a length: there are no digits"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := procedure.ReadReadings("r.csv", []byte(c.content), p)
			checkError(t, err, c.want)
		})
	}
}

func TestOtherUnitsConvertExactly(t *testing.T) {
	p, err := readProcedure("ring.yaml", []byte(strings.Replace(ring, "unit: mm", "unit: mm\nother_units: convert", 1)))
	if err != nil {
		t.Fatal(err)
	}
	r, err := procedure.ReadReadings("r.csv", []byte("measurement,value,unit\ndepth,0.071,in\n"), p)
	if err != nil {
		t.Fatal(err)
	}
	// 1 in = 25.4 mm exactly, by definition: 0.071 in = 1.8034 mm.
	if r[0].Value != mm("1.8034") || r[0].Shown != "0.071" {
		t.Errorf("got %+v", r[0])
	}
}

func checkError(t *testing.T, err error, want string) {
	t.Helper()
	if err == nil {
		t.Fatalf("no error, want\n%s", want)
	}
	if got := err.Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
