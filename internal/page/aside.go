package page

import (
	"slices"
	"strings"

	"gauged/internal/job"
	"gauged/internal/station"
)

// setAside has a job wait.
func (p *Page) setAside(r *request, j *job.Job) error {
	_, err := p.o.Station.SetAside(r.Context(), j.ID, r.FormValue("reason"), r.FormValue("for"), r.FormValue("by"))
	return err
}

// resume takes a job up that was set aside.
func (p *Page) resume(r *request, j *job.Job) error {
	_, err := p.o.Station.TakeUp(r.Context(), station.ResumeRequest{Job: j.ID, By: strings.TrimSpace(r.FormValue("by")), Gauges: r.gauges()})
	return err
}

// correctSerial puts the serial number of a job's unit right.
func (p *Page) correctSerial(r *request, j *job.Job) error {
	_, err := p.o.Station.CorrectSerial(r.Context(), j.ID, r.FormValue("serial"), r.FormValue("reason"), r.FormValue("by"))
	return err
}

// setLabels says what order a job belongs to, and for whom it is.
func (p *Page) setLabels(r *request, j *job.Job) error {
	_, err := p.o.Station.SetLabels(r.Context(), j.ID, j.Labels.Typed(r.FormValue), r.FormValue("reason"), r.FormValue("by"))
	return err
}

// changeGauge has the job go on with other gauges.
func (p *Page) changeGauge(r *request, j *job.Job) error {
	_, err := p.o.Station.ChangeGauges(r.Context(), station.GaugesRequest{Job: j.ID, By: r.FormValue("by"), Reason: r.FormValue("reason"), Gauges: r.gauges()})
	return err
}

// bindAgain are the measurements of a job that may have another gauge. The gauge of before is
// proposed again while it can serve; where it has readings they stay with it, unless somebody
// chooses another one. What led to a part that is fitted keeps its gauge.
func (p *Page) bindAgain(j *job.Job) (again []binding, err error) {
	all, err := p.bindings(j.Procedure, j.Gauges, j.ID)
	for _, b := range all {
		b.Before = j.Gauges[b.Name]
		fixed := len(b.Codes) > 0 || b.Before == "" && len(b.Choices) == 0
		for _, taken := range j.Counting() {
			if taken.Measurement == b.Name && taken.Discarded == "" {
				b.Kept++
				fixed = fixed || !j.MayDiscard(taken)
			}
		}
		if b.Kept > 0 {
			b.Choices = slices.DeleteFunc(b.Choices, func(c gaugeChoice) bool { return c.ID == b.Before })
		}
		if !fixed {
			again = append(again, b)
		}
	}
	return again, err
}

// others are the present measurement of a job, and those whose gauge may not be used any more,
// with the gauges that can take their place.
func (p *Page) others(j *job.Job) ([]binding, error) {
	all, err := p.bindAgain(j)
	return slices.DeleteFunc(all, func(b binding) bool {
		return b.Name != j.Measuring && !slices.ContainsFunc(b.Cannot, func(c gaugeChoice) bool { return c.ID == b.Before && c.Blocked() })
	}), err
}
