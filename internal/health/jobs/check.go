package jobs

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

func refuse(m Model, residuals []Residual, anchors []Anchor, until time.Time) error {
	if err := m.check(); err != nil {
		return err
	}
	for i, r := range residuals {
		if err := r.check(until); err != nil {
			return fmt.Errorf("residual %d: %w", i, err)
		}
	}
	for i, a := range anchors {
		switch {
		case a.Gauge == "":
			return fmt.Errorf("master check %d: it names no gauge", i)
		case !finite(a.Error):
			return fmt.Errorf("master check %d of gauge %s: its error is not a finite number", i, a.Gauge)
		case !positive(a.Sigma):
			return fmt.Errorf("master check %d of gauge %s: its uncertainty must be greater than 0", i, a.Gauge)
		case a.Time.After(until):
			return fmt.Errorf("master check %d of gauge %s: it is later than the time of the estimate", i, a.Gauge)
		}
	}
	return nil
}

func (r Residual) check(until time.Time) error {
	switch {
	case len(r.Terms) == 0:
		return errors.New("it names no gauge")
	case !finite(r.Value):
		return errors.New("its value is not a finite number")
	case !positive(r.Sigma):
		return errors.New("its standard deviation must be greater than 0")
	case r.Time.After(until):
		return errors.New("it is later than the time of the estimate")
	}
	for i, t := range r.Terms {
		switch {
		case t.Gauge == "":
			return fmt.Errorf("term %d names no gauge", i)
		case !finite(t.Coefficient) || t.Coefficient == 0:
			return fmt.Errorf("the coefficient of gauge %s must be a finite number other than 0", t.Gauge)
		case t.Uses < 0:
			return fmt.Errorf("gauge %s cannot be used %d times", t.Gauge, t.Uses)
		case slices.ContainsFunc(r.Terms[:i], func(o Term) bool { return o.Gauge == t.Gauge }):
			return fmt.Errorf("gauge %s has two terms: add up their coefficients", t.Gauge)
		}
	}
	return nil
}

func (m Model) check() error {
	for _, p := range []struct {
		name  string
		value float64
		least float64
	}{
		{"start", m.Start, 1e-12},
		{"rate", m.Rate, 1e-15},
		{"wander", m.Wander, 0},
		{"wear per use", m.WearPerUse, 0},
		{"wander of the rate", m.RateWander, 0},
		{"step of a fault", m.FaultStep, 0},
		{"rate of a fault", m.FaultRate, 0},
		{"quiet time", m.Quiet, 10},
		{"clip", m.Clip, 1},
	} {
		if !finite(p.value) || p.value < p.least {
			return fmt.Errorf("the model's %s is %g: it must be at least %g", p.name, p.value, p.least)
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func positive(v float64) bool { return v > 0 && finite(v) }
