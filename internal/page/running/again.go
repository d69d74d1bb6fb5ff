package running

import (
	"crypto/rand"

	"gauged/internal/gauge"
	"gauged/internal/health"
)

// Plan is what is stored with the begin of the check, to find it again.
func (d *Check) Plan() health.BegunData {
	data := health.BegunData{Occasion: d.Occasion, Temperature: d.Temperature, Tolerance: d.Tolerance}
	for _, p := range d.Found {
		data.Points = append(data.Points, health.BegunPoint{Master: p.Master, Falling: p.Falling, Wanted: p.Wanted})
	}
	return data
}

// Again is a check as it was begun, before its first reading.
func Again(gaugeID string, b health.Begun) *Check {
	d := &Check{
		Gauge: gaugeID, Once: rand.Text(), By: b.By, Occasion: b.Occasion, Temperature: b.Temperature, Tolerance: b.Tolerance,
		Begun: b.Seq, After: b.Seq,
	}
	for _, p := range b.Points {
		d.Found = append(d.Found, Point{Master: p.Master, Falling: p.Falling, Wanted: p.Wanted})
	}
	return d
}

// Step does a stored step once more; taken is its reading.
func (d *Check) Step(step health.StepData, taken gauge.Fact) error {
	switch {
	case step.Taken > 0:
		return d.Take(taken)
	case step.Adjusted:
		return d.Adjust()
	}
	return d.Drop()
}
