package health

import (
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// CheckList collects checks and what voids them.
type CheckList struct {
	Checks []*check.Record
	voided map[uint64]*check.Voided
}

// Add takes up a fact of a check, or that voids one; any other says nothing.
func (l *CheckList) Add(f gauge.Fact) error {
	switch f.Gauge.Kind {
	case KindChecked:
		data, err := Unmarshal[CheckedData](f.Gauge)
		if err != nil {
			return &Damaged{f.Gauge.Gauge, f.Seq, err}
		}
		l.Checks = append(l.Checks, data.Record(f))
	case KindVoided:
		data, err := Unmarshal[VoidedData](f.Gauge)
		if err != nil {
			return &Damaged{f.Gauge.Gauge, f.Seq, err}
		}
		if l.voided == nil {
			l.voided = map[uint64]*check.Voided{}
		}
		l.voided[data.Check] = &check.Voided{Time: f.Gauge.Time, By: f.Gauge.By, Reason: data.Reason}
	}
	return nil
}

// Sorted are the checks in the order of their time.
func (l *CheckList) Sorted() []*check.Record {
	for _, c := range l.Checks {
		c.Voided = l.voided[c.Seq]
	}
	slices.SortStableFunc(l.Checks, func(a, b *check.Record) int { return a.Order(b.Place(), b.Time) })
	return l.Checks
}

// ChecksIn are the checks that count among things that happened to gauges.
func ChecksIn(facts []gauge.Fact) ([]*check.Record, error) {
	var l CheckList
	for _, f := range facts {
		if err := l.Add(f); err != nil {
			return nil, err
		}
	}
	return slices.DeleteFunc(l.Sorted(), func(c *check.Record) bool { return c.Voided != nil }), nil
}
