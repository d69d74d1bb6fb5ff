package main

import (
	"time"

	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

// presses tells presses from readings: by the id of the switch or gauge, what is known
// of its presses beforehand.
type presses map[string]station.Press

func pressesOf(c *config.Config) presses {
	of := presses{}
	for _, g := range c.Gauges {
		if g.Press != "" && g.Press != gauge.MeansCapture {
			of[g.ID] = station.Press{From: g.ID, Means: g.Press, Gauges: []string{g.ID}}
		}
	}
	for _, s := range c.Switches {
		of[s.ID] = station.Press{From: s.ID, Gauges: s.Gauges}
	}
	return of
}

// heard is the press of a switch, or of a data button that is for something else than
// its reading; false for anything else.
func (of presses) heard(e devices.Event) (press station.Press, at time.Time, is bool) {
	switch {
	case e.Press != nil:
		press = of[e.Press.Switch]
		press.Means = e.Press.Means
		return press, e.Press.Time, true
	case e.Reading != nil && of[e.Reading.Gauge].Means != "":
		return of[e.Reading.Gauge], e.Reading.Time, true
	}
	return press, at, false
}
