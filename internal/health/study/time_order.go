package study

import (
	"fmt"
	"math/big"
	"time"

	"gauged/internal/gauge"
)

// inOrder refuses rows of one master whose times, where they can be read, are not in order:
// limits and trend go by the order of the rows.
func inOrder(file string, rows []Row) error {
	var before Row
	for i, r := range rows {
		if i > 0 && earlier(r.Time, before.Time) {
			return refused(fmt.Sprintf("%s:%d", file, r.Line), "refusal.figures.not-in-order", gauge.Text("time", r.Time), gauge.Text("earlier", before.Time))
		}
		before = r
	}
	return nil
}

// earlier says that a time is before another one; both are dates, or both are numbers.
func earlier(a, b string) bool {
	for _, form := range []string{time.DateOnly, time.RFC3339, time.DateTime, "2006-01-02 15:04", "2006-01-02T15:04"} {
		at, err := time.Parse(form, a)
		bt, wrong := time.Parse(form, b)
		if err == nil && wrong == nil {
			return at.Before(bt)
		}
	}
	x, err := ParseNumber(a)
	y, wrong := ParseNumber(b)
	return err == nil && wrong == nil && new(big.Rat).Sub(x, y).Sign() < 0
}
