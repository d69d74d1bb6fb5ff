package study

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// rows writes a table of the given column names and rows.
func rows(columns string, r ...string) string { return columns + "\n" + strings.Join(r, "\n") + "\n" }

// TestRefused: data that make no study are refused with the reason and what to do.
func TestRefused(t *testing.T) {
	crossed := func(d *Data) error { _, err := Crossed(d, Options{}); return err }
	nested := func(d *Data) error { _, err := Nested(d, Options{}); return err }
	oneWay := func(d *Data) error { _, err := OneWay(d, 0, Options{}); return err }
	bias := func(d *Data) error { _, err := Bias(d, 0, Options{}); return err }
	linearity := func(d *Data) error { _, err := Linearity(d, Options{}); return err }
	stability := func(d *Data) error { _, err := Stability(d, Options{}); return err }
	levels := func(d *Data) error { _, err := NestedLevels(d, Use{}, Options{}); return err }
	capability := func(d *Data) error { _, err := Capability(d, Indices{}, Options{Tolerance: 1}); return err }
	both := []Role{Part, Appraiser}
	for _, c := range []struct {
		name, content string
		study         func(*Data) error
		roles         []Role
		want          string
	}{
		{
			"one trial", rows("part,appraiser,value", "1,A,1", "1,B,2", "2,A,3", "2,B,4"), crossed, both,
			"made.csv: each appraiser measured each part once: repeatability cannot be told apart from the interaction of appraiser and part; have each part measured 2 times at least, better 3",
		},
		{
			"one part", rows("part,appraiser,value", "1,A,1", "1,B,2", "1,A,3", "1,B,4"), crossed, both,
			`made.csv: there is one part only, "1": the variation of the gauge cannot be compared with that of parts; measure 2 parts at least, better 10`,
		},
		{
			"constant", rows("part,appraiser,value", "1,A,1", "1,A,1", "2,A,1", "2,A,1", "1,B,1", "1,B,1"), crossed, both,
			"made.csv: all repeats are equal: the gauge's resolution hides its repeatability; read with a finer resolution",
		},
		{
			"no common part", rows("part,appraiser,value", "1,A,1", "1,A,2", "2,B,1", "2,B,3", "3,C,4", "2,C,1"), crossed, both,
			"made.csv: no part that both measured links appraiser A, directly or through others, to B, C: what is the part and what the appraiser cannot be told apart; have them measure common parts, or study it as nested",
		},
		{
			"trial twice", rows("part,appraiser,trial,value", "1,A,1,1", "1,A,1,2"), crossed,
			[]Role{Part, Appraiser, Trial},
			`made.csv:3:1: part "1", appraiser "A", trial "1" is in line 2 already: number the trials, or leave one reading out`,
		},
		{
			"nested, one appraiser", rows("part,appraiser,value", "1,A,1", "1,A,2"), nested, both,
			`made.csv: there is one appraiser only, "A": a nested study compares 2 at least`,
		},
		{
			"nested, one part each", rows("part,appraiser,value", "1,A,1", "1,A,2", "1,B,1", "1,B,2"), nested, both,
			"made.csv: each appraiser has one part: what is the part and what the appraiser cannot be told apart; give each 2 parts at least, better 5",
		},
		{
			"nested, one trial", rows("part,appraiser,value", "1,A,1", "2,A,2", "1,B,1", "2,B,2"), nested, both,
			"made.csv: each part was measured once: repeatability cannot be told apart from the parts; have each part measured 2 times at least, or pieces so alike that they count as one part",
		},
		{
			"one group", rows("group,value", "a,1", "a,2"), oneWay,
			[]Role{Group},
			`made.csv: there is one group only, "a": an analysis of variance compares 2 at least`,
		},
		{
			"groups of one", rows("group,value", "a,1", "b,2"), oneWay,
			[]Role{Group},
			"made.csv: each group has one reading: the scatter within groups cannot be seen; give 2 readings in some groups at least",
		},
		{
			"constant groups", rows("group,value", "a,1", "a,1", "b,2", "b,2"), oneWay,
			[]Role{Group},
			"made.csv: the readings within each group are equal: without scatter the groups cannot be compared; read with a finer resolution",
		},
		{
			"one reading", rows("value,reference", "1,1"), bias,
			[]Role{Reference},
			"made.csv: too few readings, 1: give 2 at least",
		},
		{
			"masters whose errors cancel", rows("value,reference", "0.0112,0", "0.0097,0", "24.9897,25", "24.9899,25"), bias,
			[]Role{Reference},
			"made.csv: the readings are of 2 masters or reference values (0, 25), and a mean over them can hide errors that cancel: study one at a time, or ask for linearity, which takes them together",
		},
		{
			"constant errors", rows("value,reference", "1.5,1", "2.5,2"), bias,
			[]Role{Reference},
			"made.csv: all errors are equal, 0.5: the gauge's resolution hides its scatter, and nothing can be tested without it; read with a finer resolution",
		},
		{
			"two references", rows("value,reference", "1,1", "2,2", "1.1,1", "2.2,2"), linearity,
			[]Role{Reference},
			"made.csv: too few reference values, 2: two always lie on a line; give 3 at least, better 5, over the range of the gauge",
		},
		{
			"short series", rows("value", "1", "2", "3"), stability, nil,
			"made.csv: too few readings, 3: limits take 8 at least, better 20; go on measuring",
		},
		{
			"constant series", rows("value", "1", "1", "1", "1", "1", "1", "1", "1"), stability, nil,
			"made.csv: all readings are equal: the gauge's resolution hides its scatter, and there are no limits without it; read with a finer resolution",
		},
		{
			"levels, no day", rows("run,value", "1,1", "1,2"), levels,
			[]Role{Run},
			"made.csv: single readings need the day they were taken on: there is no column day; name it with --day, or give means with --deviation and --repeats",
		},
		{
			"levels, one day", rows("run,day,value", "1,1,1", "1,1,2"), levels,
			[]Role{Run, Day},
			"made.csv: no run has 2 days: the days cannot be seen; measure on 2 days at least, better 6",
		},
		{
			"levels, one reading a day", rows("run,day,value", "1,1,1", "1,2,2"), levels,
			[]Role{Run, Day},
			"made.csv: each day has one reading: repeatability cannot be told apart from the days; repeat 2 times a day at least",
		},
		{
			"two masters", rows("value,reference", "1,1", "2.1,2"), capability,
			[]Role{Reference},
			"made.csv: the reference values differ: the indices are those of one master; take the readings of one",
		},
		{
			"few of a master", rows("value,reference", "1,1", "1.1,1"), capability,
			[]Role{Reference},
			"made.csv: too few readings of the master, 2: take 10 at least, better 25",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := toldOf(c.study(made(t, c.content, c.roles...))); got != c.want {
				t.Errorf("%s\nwant %s", got, c.want)
			}
		})
	}
}

// TestTables: what is wrong with a file is said with its place.
func TestTables(t *testing.T) {
	for content, want := range map[string]string{
		"":                      "f.csv:1:1: the file is empty: it begins with a line of column names",
		"# only\npart,value\n":  "f.csv:2:1: there are no rows under the line of column names: write one for each line of the table",
		"part,value\n1,2,5\n":   "f.csv:2:5: the line has 3 cells, 1 more than there are column names: write a point as the decimal sign, and put quotes around a text with a comma in it",
		"part\tvalue\n1\t2,5\n": `f.csv:2:3: column value: "2,5" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names`,
		"part;value\n1;2,5\n2;x\n3;1.5\n4;y\n": "f.csv:3:3: column value: \"x\" is not a number: write digits with a point as the decimal sign, without a unit\n" +
			"f.csv:4:3: column value: \"1.5\" has a point, and in line 2 the decimal sign is a comma: write all numbers alike, and nothing between the thousands\n" +
			"f.csv:5:3: column value: \"y\" is not a number: write digits with a point as the decimal sign, without a unit",
		"part,\n1,2\n":                      "f.csv:1:6: column 2 has no name: give it one, or take the column out",
		"part,Part\n1,2\n":                  `f.csv:1:6: the column Part is there twice: give each column a name of its own`,
		"part,value\n1,\"2\n":               "f.csv:2:3: the quote that opens here is not closed, and nothing after it was read: write a second one at the end of the cell, or leave it out",
		"part,value\n1,abc\n":               `f.csv:2:3: column value: "abc" is not a number: write digits with a point as the decimal sign, without a unit`,
		"part,value\n1,NaN\n":               `f.csv:2:3: column value: "NaN" is not a number: write digits with a point as the decimal sign, without a unit`,
		"part,value\n1,0x1p4\n":             `f.csv:2:3: column value: "0x1p4" is not a number: write digits with a point as the decimal sign, without a unit`,
		"part,value\n1,1e999\n":             `f.csv:2:3: column value: "1e999" is out of range: use a unit in which values lie between 1e-60 and 1e60`,
		"part,value\n,1\n":                  "f.csv:2:1: column part: the part of this reading is empty: say which it is",
		"part,value\n1,\n":                  "f.csv:1:1: the column value is empty: there is nothing to study",
		"part,size\n1,2\n":                  "f.csv:1:1: there is no column value: name it with --value; the columns are part, size",
		"part,reading,result\n1,2,3\n":      "f.csv:1:1: the value may be the column reading or result: say which with --value",
		"part,value,unit\n1,2,mm\n1,2,in\n": `f.csv:3:5: column unit: the unit is "in" here and "mm" before: one study has one unit`,
		"part,value,sd\n1,2,0.1\n":          "f.csv:1:1: the standard deviations in sd are of an unknown number of repeats: give the number, or its column, with --repeats",
		"part,value,sd,n\n1,2,0.1,1\n":      "f.csv:2:9: column n: 1 repeats: a standard deviation takes a whole number of them, 2 at least",
		"part,value,sd,n\n1,2,-0.1,3\n":     "f.csv:2:5: column sd: the standard deviation is negative",
	} {
		table, err := ReadTable("f.csv", []byte(content))
		if err == nil {
			_, err = table.Data(nil, []Role{Part, Deviation, Repeats}, []Role{Part})
		}
		if got := toldOf(err); got != want {
			t.Errorf("%q: %s\nwant %s", content, got, want)
		}
	}
}

// TestSensibleTables: a mark at the beginning, remarks, blanks, other cases of
// names, rows without a value and numbers far from 0 are all read.
func TestSensibleTables(t *testing.T) {
	d := made(t, "\ufeff# remark\r\nPart , VALUE\r\n a, 10000000000000000.25\r\n# more\r\n\r\na, \r\n a ,10000000000000000.50\r\n", Part)
	if len(d.Rows) != 2 || d.Empty != 1 || d.Rows[1].Value != 0.25 || d.Rows[1].Part != "a" || d.Rows[1].Line != 7 {
		t.Errorf("%+v", d)
	}
}

// TestOptions: options that cannot be used are refused.
func TestOptions(t *testing.T) {
	for want, o := range map[string]Options{
		"the confidence 95 is not between 0.5 and 0.9999: use one such as 0.95":                                     {Confidence: 95},
		"the level 2 for pooling is not between 0 and 1: use one such as 0.25, or 1 to keep the interaction always": {PoolAbove: 2},
		"a spread of -1 standard deviations is not between 0 and 20: use 6":                                         {Spread: -1},
		"the tolerance NaN is not a width: give the distance of the limits, above 0":                                {Tolerance: math.NaN()},
		"5 draws for an interval: use 100 to 10 million":                                                            {Draws: 5},
	} {
		if _, err := o.with(); toldOf(err) != want {
			t.Errorf("%s\nwant %s", toldOf(err), want)
		}
	}
}

// TestOneAppraiser gives repeatability and parts, and no verdict on the gauge.
func TestOneAppraiser(t *testing.T) {
	v, err := Crossed(made(t, rows("part,appraiser,value", "1,A,1", "1,A,1.2", "2,A,3", "2,A,3.4", "3,A,5", "3,A,5.1"), Part, Appraiser), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := v.Component(RepeatAndRepro); ok || v.Verdict != nil || v.Distinct != nil || told(v.NoRanges) != "averages and ranges need 2 appraisers" {
		t.Errorf("%+v", v)
	}
	if c, _ := v.Component(Repeatability); math.Abs(c.Variance-0.035) > 1e-12 {
		t.Errorf("repeatability %v", c.Variance)
	}
}

// TestNegativeIsSaid: a component below 0 is 0, and the notes say so.
func TestNegativeIsSaid(t *testing.T) {
	v, err := Nested(made(t, rows("part,appraiser,value", "1,A,1", "1,A,1.1", "2,A,9", "2,A,9.1", "1,B,1", "1,B,1.1", "2,B,9", "2,B,9.2"), Part, Appraiser), Options{})
	if err != nil {
		t.Fatal(err)
	}
	c, _ := v.Component(Reproducibility)
	if !c.Negative || c.Variance != 0 || c.Estimate >= 0 {
		t.Errorf("%+v", c)
	}
	want := fmt.Sprintf("Reproducibility: the variance was estimated as %.3g, below 0. It counts as 0 in the sums and the budget.", c.Estimate)
	if len(v.Notes) != 2 || told(v.Notes[1]) != want {
		t.Errorf("%q", v.Notes)
	}
}

// TestNumber writes figures as people read them.
func TestNumber(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", 1: "1", 0.00012345678: "0.00012346", 123456.789: "123457", -2.5: "-2.5", 1e-9: "1e-09", 99999.96: "100000", 10: "10", 2e10: "2e+10",
	} {
		if got := Number(x); got != want {
			t.Errorf("%v is %s, want %s", x, got, want)
		}
	}
}
