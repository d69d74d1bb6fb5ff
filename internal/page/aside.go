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

// bindAgain are the measurements of a job that may be taken up with another gauge, because
// they have no reading. The gauge of before is proposed again while it can serve.
func (p *Page) bindAgain(j *job.Job) ([]binding, error) {
	all, err := p.bindings(j.Procedure, j.Gauges)
	return slices.DeleteFunc(all, func(b binding) bool {
		return len(b.Codes) > 0 || j.HasReadings(b.Name) || j.Gauges[b.Name] == "" && len(b.Choices) == 0
	}), err
}
