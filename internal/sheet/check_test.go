package sheet

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/station"
	"gauged/internal/words"
)

func mm(digits string) gauge.Length { return gauge.MustLength(digits, gauge.Millimetre) }

// compared is a check of an invented gauge at two masters, the block from both sides.
func compared(limit string, zero, up, down []string) (check.Result, []check.StoredPoint, gauge.Ability) {
	step, of := mm("0.001"), gauge.Ability{Unit: gauge.Millimetre}
	of.Resolution = &step
	if limit != "" {
		most := mm(limit)
		of.Error = &most
	}
	block := check.Master{
		ID: "block-25", Title: "Gauge block", Value: mm("25.00012"), Serial: "G 25-7",
		Certified: &gauge.Expanded{Uncertainty: mm("0.00008"), K: gauge.MustLength("2", gauge.One)}, Due: time.Date(2027, 6, 30, 0, 0, 0, 0, time.UTC),
		Certificate: &check.Certificate{Number: "K-4711", Laboratory: "Labor <Süd> & Sohn", Date: time.Date(2026, 6, 30, 0, 0, 0, 0, time.UTC)},
	}
	var points []check.StoredPoint
	add := func(m check.Master, falling bool, texts []string) {
		p := check.StoredPoint{Point: check.Point{Master: m, Falling: falling}}
		for _, text := range texts {
			p.Readings, p.Seqs = append(p.Readings, mm(text)), append(p.Seqs, uint64(100+len(points)*10+len(p.Seqs)))
		}
		if len(texts) > 0 {
			points = append(points, p)
		}
	}
	add(check.Master{ID: check.ZeroMaster}, false, zero)
	add(block, false, up)
	add(block, true, down)
	in := check.Input{Ability: of, Temperature: &check.Temperature{Above: gauge.MustLength("1.5", gauge.One), Tolerance: gauge.MustLength("0.5", gauge.One)}}
	for _, p := range points {
		in.Points = append(in.Points, p.Point)
	}
	return check.Evaluate(in), points, of
}

func madeCheck(limit string, zero, up, down []string) *check.Record {
	c := &check.Record{
		Seq: 61, Time: time.Date(2026, 9, 3, 7, 12, 0, 0, time.UTC), By: "Ada & <B>", Occasion: "periodic", Remark: "after lunch",
		Plate:       gauge.Plate{Serial: "SN 0042", Maker: "made up", Model: "M-1"},
		Temperature: &check.Temperature{Above: gauge.MustLength("1.5", gauge.One), Tolerance: gauge.MustLength("0.5", gauge.One)},
	}
	c.Result, c.Points, c.Ability = compared(limit, zero, up, down)
	return c
}

func checkInput(c *check.Record) CheckInput {
	return CheckInput{
		House: House{Station: "bench-1", Shop: gauge.Shop{Name: "Shop & Söhne", City: "Anywhere", Country: "DE"}},
		Gauge: station.GaugeInfo{ID: "dial", Title: "Indicator", Unit: gauge.Millimetre}, Check: c, Record: "gauged-head-1 61",
	}
}

var several = [][]string{{"0.001", "0.000", "0.001"}, {"25.002", "25.003", "25.002"}, {"25.004", "25.003", "25.004"}}

// readBack makes the PDF of a check, and reads it back with pdftotext: its lines, and its pages.
func readBack(t *testing.T, of CheckInput, language words.Language) (text string, pages int) {
	t.Helper()
	s, err := NewCheck(of, in(t, language))
	if err != nil {
		t.Fatal(err)
	}
	text, pages = lineByLine(t, s, string(language), of.Check.Time)
	return strings.Join(strings.Fields(text), " "), pages
}

// lineByLine is the text of the PDF of a sheet as its lines stand, and its pages.
func lineByLine(t *testing.T, s *Sheet, language string, at time.Time) (text string, pages int) {
	t.Helper()
	pdf, err := s.PDF(language, at)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "check.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", file, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftotext, of Debian's package poppler-utils: %v: %s", err, out)
	}
	return string(out), strings.Count(string(out), "\f")
}

var (
	number = `([-+]?\d+(?:\.\d+)?)`
	onRow  = regexp.MustCompile(`(zero|block-25)(?:, from above)? (\d+) ` + number + ` mm ` + number + ` mm ` + number + ` µm ` + number + ` µm ` + number + `(?: ± ` + number + ` µm)?`)
)

// TestCheckIsReadBack compares each figure of the PDF with the check.
func TestCheckIsReadBack(t *testing.T) {
	for name, x := range map[string]struct {
		limit string
		left  bool
		want  string
	}{
		"passed": {"0.020", false, "As found: passed"}, "failed and adjusted": {"0.001", true, "As found: failed; As left: failed"},
		"undecided": {"0.003", false, "As found: undecided"}, "without a limit": {"", true, "As found: no limit stated"},
	} {
		t.Run(name, func(t *testing.T) {
			c := madeCheck(x.limit, several[0], several[1], several[2])
			points := slices.Clone(c.Result.Points)
			if x.left {
				left, stored, _ := compared(x.limit, several[0], several[1], several[2])
				c.Left, c.PointsLeft = &left, stored
				points = append(points, left.Points...)
			}
			text, pages := readBack(t, checkInput(c), "en")
			if pages > 2 || !strings.Contains(text, x.want) {
				t.Errorf("%d pages, no %q in\n%s", pages, x.want, text)
			}
			rows := onRow.FindAllStringSubmatch(text, -1)
			if len(rows) != len(points) {
				t.Fatalf("%d rows, %d points:\n%s", len(rows), len(points), text)
			}
			for i, p := range points {
				row := rows[i]
				near := func(what, shown string, is, step float64) {
					t.Helper()
					if got, err := strconv.ParseFloat(shown, 64); err != nil || math.Abs(got-is) > step/2*1.000001 {
						t.Errorf("%s of %s: %s on paper, %v in the check", what, p.Name(), shown, is)
					}
				}
				if row[1] != p.Master || row[2] != fmt.Sprint(p.Repeats) {
					t.Errorf("%v is not of %s", row, p.Name())
				}
				near("mean", row[3], p.Mean.Metres()*1e3, 1e-4)
				near("reference", row[4], p.Reference.Metres()*1e3, 1e-4)
				near("error", row[5], p.Error.Metres()*1e6, 0.1)
				near("U", row[6], p.Expanded().Metres()*1e6, p.Expanded().Metres()*1e6/10)
				near("k", row[7], p.Coverage(), 0.01)
				if limit := c.Result.Limit; limit != nil {
					near("limit", row[8], limit.Metres()*1e6, 0.1)
				} else if row[8] != "" {
					t.Errorf("limit %s", row[8])
				}
			}
		})
	}
}

// TestWhatACheckSays: who, when, where, with which masters, by which rule, in each language;
// and that it is no accredited calibration.
func TestWhatACheckSays(t *testing.T) {
	c := madeCheck("0.020", several[0], several[1], several[2])
	paper := checkInput(c)
	paper.Next = &check.Record{Seq: 70, Time: c.Time.Add(time.Hour), By: "Bo", Result: check.Result{Verdict: check.Pass}}
	for language, wanted := range map[words.Language][]string{
		"en": {
			"Check 61 of gauge dial", "SN 0042", "made up, M-1", "Shop & Söhne, Anywhere, DE", "bench-1", "Ada & <B>", "periodic", "after lunch", "21.5 °C ± 0.5 K", "± 20.0 µm", "0.001 mm",
			"K-4711", "Labor <Süd> & Sohn", "25.00012 mm", "0.0800 µm", "G 25-7", "30 Jun 2026", "30 Jun 2027", "25.002 mm; 25.003 mm; 25.002 mm", "110, 111, 112",
			"not adjusted", "number 70", "no calibration by an accredited laboratory", "probability of 95 %", "gauged-head-1 61", "expansion of master or gauge not stated",
		},
		"de": {"Prüfung 61 von Messmittel dial", "21,5 °C ± 0,5 K", "25,00012 mm", "Kalibrierschein", "keine Kalibrierung durch ein akkreditiertes Labor", "Wie vorgefunden: bestanden"},
	} {
		text, _ := readBack(t, paper, language)
		for _, want := range wanted {
			if !strings.Contains(strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(want, " ", "")) {
				t.Errorf("%s: no %q in\n%s", language, want, text)
			}
		}
	}
}

// TestCheckThatDoesNotCount: a void check, a zero return and one that lacks points say so.
func TestCheckThatDoesNotCount(t *testing.T) {
	w := in(t, "en")
	for want, change := range map[string]func(*check.Record){
		"Declared void by Bo": func(c *check.Record) { c.Voided = &check.Voided{Time: c.Time, By: "Bo", Reason: "wrong block"} },
		"zero return":         func(c *check.Record) { c.Zero = true },
		"3 readings at plug": func(c *check.Record) {
			c.Partial = (&check.Plan{Masters: []string{"plug"}, Repeats: 3}).Lacks(func(string, bool) int { return 0 })
		},
	} {
		c := madeCheck("0.020", several[0], several[1], nil)
		change(c)
		s, err := NewCheck(checkInput(c), w)
		if err != nil || !strings.Contains(strings.Join(s.Sections[0].Notes, " "), want) {
			t.Errorf("%v, no %q in %v", err, want, s.Sections[0])
		}
	}
}

// TestZeroInTheLanguage: the master that is always there has a title of the station's, not of
// the shop, and so in the language of the sheet.
func TestZeroInTheLanguage(t *testing.T) {
	c := madeCheck("0.020", several[0], several[1], several[2])
	for i := range c.Points {
		if c.Points[i].Master.ID == check.ZeroMaster {
			c.Points[i].Master.Title = "the faces closed, or on a plane" // as it is stored
		}
	}
	for language, want := range map[words.Language]string{"en": "zero, the faces closed, or on a plane", "de": "zero, Messflächen geschlossen oder auf einer ebenen Platte"} {
		if text, _ := readBack(t, checkInput(c), language); !strings.Contains(text, want) {
			t.Errorf("%s: no %q in %s", language, want, text)
		}
	}
}

// TestNumbersStayWhole: on the sheet of an inch gauge with a fine display no number is broken,
// nor parted from its unit, in any language and with every column in use.
func TestNumbersStayWhole(t *testing.T) {
	inch := func(digits string) gauge.Length { return gauge.MustLength(digits, gauge.Inch) }
	c := madeCheck("0.020", several[0], several[1], several[2])
	step, most := inch("0.00005"), inch("0.0002")
	c.Ability = gauge.Ability{Unit: gauge.Inch, Resolution: &step, Error: &most}
	in := check.Input{Ability: c.Ability, Temperature: c.Temperature}
	for i := range c.Points {
		p := &c.Points[i].Point
		if p.Master.ID != check.ZeroMaster {
			p.Master.Value = inch("1.000046")
		}
		for n := range p.Readings {
			p.Readings[n] = (p.Master.Value + inch("0.00005")*gauge.Length(n%2)) / step * step
		}
		in.Points = append(in.Points, *p)
	}
	c.Result = check.Evaluate(in)
	of := checkInput(c)
	of.Gauge.Unit = gauge.Inch
	for _, l := range words.Languages {
		s, err := NewCheck(of, words.In(l.Tag))
		if err != nil {
			t.Fatal(err)
		}
		text, _ := lineByLine(t, s, string(l.Tag), c.Time)
		var said strings.Builder
		for _, p := range s.Head {
			said.WriteString(p.Value + "\n")
		}
		for _, section := range s.Sections {
			said.WriteString(strings.Join(section.Notes, "\n") + "\n")
			if section.Table == nil {
				continue
			}
			for _, row := range section.Table.Rows {
				said.WriteString(strings.Join(row.Cells, "\n") + "\n")
			}
		}
		whole := regexp.MustCompile(`(?:± )?[0-9]+[.,][0-9]+ (?:in|mm|µm)|[0-9.,]+ %`).FindAllString(said.String(), -1)
		if len(whole) < 30 {
			t.Errorf("%d numbers on the sheet", len(whole))
		}
		for _, number := range whole {
			if got, want := strings.Count(text, number), strings.Count(said.String(), number); got != want {
				t.Errorf("%s: %q is whole %d times, of %d", l.Tag, number, got, want)
			}
		}
		for _, section := range s.Sections {
			if section.Table != nil && len(section.Table.Head) == 10 {
				if verdict := section.Table.Rows[0].Cells[9]; strings.Count(text, verdict) < 4 {
					t.Errorf("%s: %q is in parts", l.Tag, verdict)
				}
			}
		}
		for line := range strings.Lines(text) {
			if regexp.MustCompile(`^\s*(?:[0-9]\s+)?(?:in|µm|mm)\s*$`).MatchString(line) {
				t.Errorf("%s: a line begins with what belongs to a number: %q", l.Tag, line)
			}
		}
	}
}
