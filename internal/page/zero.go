package page

import (
	"cmp"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/station"
)

// afterView is what is left to do with a gauge after the job.
type afterView struct {
	gaugeLine
	Zero     bool          // its zero return can be recorded
	Recorded *check.Record // its zero return after this job; nil: none yet
	Due      bool          // the check after the job
}

// after is what is left to do with the gauges of a job whose verdict stands.
func (p *Page) after(j *job.Job) (all []afterView, err error) {
	for _, id := range j.Measured() {
		h, err := p.o.Station.Health(id)
		if err != nil {
			continue // it is no gauge of the station any more
		}
		v := afterView{Zero: j.ZeroWanted(id, h), Due: j.CheckDue(id, h)}
		if !v.Zero && !v.Due {
			continue
		}
		if v.gaugeLine, err = p.gaugeNamed(id); err != nil {
			return nil, err
		}
		if h.LastZero != nil && h.LastZero.Job == j.ID {
			v.Recorded = h.LastZero
		}
		all = append(all, v)
	}
	return all, nil
}

// zeroReturn records what a gauge shows at its zero after the job: the present
// reading, of a gauge with a button its last one, else what was typed.
func (p *Page) zeroReturn(r *request, j *job.Job) error {
	line, err := p.gaugeNamed(r.FormValue("gauge"))
	if err != nil {
		return err
	}
	ask := station.ZeroRequest{Gauge: line.ID, Job: j.ID, By: cmp.Or(r.FormValue("by"), j.Technician)}
	switch v := (afterView{gaugeLine: line}); {
	case v.ReadByEye():
		shown := r.words.Typed(r.FormValue("shown"))
		if shown == "" {
			return gauge.WrongInput("refusal.page.type-zero", gauge.Text("gauge", line.ID))
		}
		ask.Typed = station.TypedReading{Shown: shown, Unit: line.Unit}
	case v.Button():
		if ask.Reading, err = strconv.ParseUint(r.FormValue("reading"), 10, 64); err != nil {
			return gauge.WrongInput("refusal.page.no-reading-number", gauge.Text("text", r.FormValue("reading")))
		}
	}
	_, err = p.o.Station.RecordZeroReturn(r.Context(), ask)
	return err
}
