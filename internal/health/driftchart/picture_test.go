package driftchart

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"gauged/internal/health/drift"
)

var plain = Words{
	Title: "t", Description: "d", Up: "u", Trend: "trend", Upper: "upper", Lower: "lower", Found: "found", Left: "left",
	Limit: func(at float64) string { return fmt.Sprintf("limit %+g", at) }, Day: func(t time.Time) string { return t.Format(time.DateOnly) },
}

func checks(found ...float64) (cs []drift.Check) {
	for i, f := range found {
		cs = append(cs, drift.Check{Time: time.Date(2026, 1, 1+30*i, 0, 0, 0, 0, time.UTC), Found: f})
	}
	return cs
}

// TestOneCheck: its limits are drawn all the same, beside the check.
func TestOneCheck(t *testing.T) {
	c := Errors(nil, checks(2), 5, nil, plain)
	if len(c.Lines) != 2 || c.Lines[0].Points[0].X >= c.Lines[0].Points[1].X || c.Lines[0].Points[0].Y != 5 || c.Lines[1].Points[0].Y != -5 {
		t.Errorf("%+v", c.Lines)
	}
	if len(c.Marks) != 1 || len(c.Marks[0].Points) != 1 || c.Marks[0].Points[0].Y != 2 {
		t.Errorf("%+v", c.Marks)
	}
}

// TestTrendAndAdjustment: the line and the band ahead are there, and an error as left is a mark of its own.
func TestTrendAndAdjustment(t *testing.T) {
	cs := checks(1, 2.1, 2.9, 4.2, 4.8, 6.1)
	left := 0.5
	cs[1].Left = &left
	r, err := drift.NewReview(cs, drift.Options{MPE: 10})
	if err != nil {
		t.Fatal(err)
	}
	c := Errors(r, cs, r.MPE, nil, plain)
	var names []string
	for _, l := range c.Lines {
		names = append(names, l.Name)
	}
	if got := strings.Join(names, ", "); got != "trend, upper, lower, limit +10, limit -10" {
		t.Error(got)
	}
	if len(c.Marks) != 2 || c.Marks[1].Name != "left" || c.Marks[1].Points[0].Y != left {
		t.Errorf("%+v", c.Marks)
	}
	last := drift.Days(r.From, r.To)
	if end := c.Lines[0].Points[1].X; end <= last || end > 2*last {
		t.Errorf("the drawing goes to day %g of %g", end, last)
	}
}

func TestNothing(t *testing.T) {
	if c := Errors(nil, nil, 5, nil, plain); len(c.Lines) != 0 || len(c.Marks) != 0 || c.Title != "t" {
		t.Errorf("%+v", c)
	}
}

// TestCrossingIsMarked: the day at which the trend comes to the limit is marked where it does.
func TestCrossingIsMarked(t *testing.T) {
	cs := checks(1, 2.1, 2.9, 4.2, 4.8, 6.1)
	r, err := drift.NewReview(cs, drift.Options{MPE: 7})
	if err != nil {
		t.Fatal(err)
	}
	w := plain
	w.Crossing = func(at time.Time) string { return "crosses " + at.Format(time.DateOnly) }
	c := Errors(r, cs, r.MPE, nil, w)
	at, _ := r.ByTime.At(r.ByTime.Reach.X)
	if len(c.Flags) != 1 || c.Flags[0].Y != 7 || math.Abs(at-7) > 1e-9 || c.Flags[0].Label != "crosses "+r.Date(r.ByTime.Reach.X).Format(time.DateOnly) {
		t.Errorf("%+v, the line is at %g there", c.Flags, at)
	}
	w.Crossing = nil
	if c := Errors(r, cs, r.MPE, nil, w); len(c.Flags) != 0 {
		t.Errorf("%+v", c.Flags)
	}
}

// TestChecksAreDrawnWithWhatIsKnown: each error has its expanded uncertainty, note and address;
// the limits say the scale.
func TestChecksAreDrawnWithWhatIsKnown(t *testing.T) {
	cs := checks(1, 900)
	cs[0].Uncertainty, cs[0].Shared, cs[0].Seq = 3, 4, 17
	w := plain
	w.Note = func(k drift.Check) string { return fmt.Sprintf("%g", k.Found) }
	w.Link = func(k drift.Check) string { return fmt.Sprintf("#%d", k.Seq) }
	c := Errors(nil, cs, 5, nil, w)
	if p := c.Marks[0].Points[0]; p.Bar != 10 || p.Note != "1" || p.Link != "#17" {
		t.Errorf("%+v", p)
	}
	if fmt.Sprint(c.Near) != "[5 -5]" || !strings.Contains(c.SVG(), ">900</text>") {
		t.Errorf("near %v in\n%s", c.Near, c.SVG())
	}
}

// TestEachMasterHasItsLine: the other points are lines with their names, told apart by dashes,
// and the drawing holds them from their first check on.
func TestEachMasterHasItsLine(t *testing.T) {
	early := checks(3, 2)
	early[0].Time = early[0].Time.AddDate(0, 0, -10)
	c := Errors(nil, checks(1, 2), 0, []drift.Series{{Point: "block-25", Checks: early}, {Point: "block-50", Checks: checks(4, 4)}}, plain)
	if len(c.Lines) != 2 || c.Lines[0].Name != "block-25" || c.Lines[1].Name != "block-50" || c.Lines[0].Dash == c.Lines[1].Dash || c.Lines[0].Rune == c.Lines[1].Rune {
		t.Fatalf("%+v", c.Lines)
	}
	if p := c.Lines[0].Points[0]; p.X != -10 || p.Y != 3 || c.From > -10 {
		t.Errorf("%+v, drawn from %g", p, c.From)
	}
}

// TestRoundDates: ticks stand at the beginning of days, weeks, months or years, and there is
// room for them all.
func TestRoundDates(t *testing.T) {
	from := time.Date(2026, 11, 19, 15, 0, 0, 0, time.UTC)
	for days, want := range map[float64]string{
		0.2:  "2026-11-19",
		3:    "2026-11-20 2026-11-21 2026-11-22",
		9:    "2026-11-21 2026-11-23 2026-11-25 2026-11-27",
		14:   "2026-11-22 2026-11-25 2026-11-28 2026-12-01",
		30:   "2026-11-26 2026-12-03 2026-12-10 2026-12-17",
		100:  "2026-12-01 2027-01-01 2027-02-01",
		400:  "2027-01-01 2027-04-01 2027-07-01 2027-10-01",
		1500: "2027-01-01 2028-01-01 2029-01-01 2030-01-01",
	} {
		var got []string
		for _, tick := range calendar(from, 0, days, func(at time.Time) string { return at.Format(time.DateOnly) }) {
			if tick.X < 0 || tick.X > days {
				t.Errorf("%g days: a tick at %g", days, tick.X)
			}
			got = append(got, tick.Label)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%g days: %v, want %s", days, got, want)
		}
	}
}
