package driftchart

import (
	"fmt"
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
	c := Errors(nil, checks(2), 5, plain)
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
	c := Errors(r, cs, r.MPE, plain)
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
	if end := c.Lines[0].Points[1].X; end <= last || end > 1.5*last {
		t.Errorf("the drawing goes to day %g of %g", end, last)
	}
}

func TestNothing(t *testing.T) {
	if c := Errors(nil, nil, 5, plain); len(c.Lines) != 0 || len(c.Marks) != 0 || c.Title != "t" {
		t.Errorf("%+v", c)
	}
}
