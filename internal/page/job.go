package page

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
	"gauged/internal/page/place"
	"gauged/internal/page/say"
	"gauged/internal/page/scale"
	"gauged/internal/page/signin"
	"gauged/internal/station"
	"gauged/internal/words"
)

func (p *Page) jobRoutes(mux *http.ServeMux) {
	mux.Handle("GET /jobs/{id}", p.handle(p.showJob))
	mux.Handle("GET /jobs/{id}/stream", p.handle(p.streamJob))
	p.actRoutes(mux)
}

// jobPage is a job as it stands.
type jobPage struct {
	*job.Job
	Step     procedure.Step       // that takes the next reading; without a name none does
	State    evaluate.Measurement // of that step
	Gauge    *gaugeLine           // of that step; nil: its readings are typed in
	Motion   *station.Motion      // how far the capture of a motion has come; nil: none runs
	Places   []place.View
	Steps    []binding    // that may have another gauge when the job is taken up
	After    []afterView  // what is left to do with the gauges
	Scale    *scale.Scale // of the result after fitting; nil: there is none to show
	Calipers []gaugeLine  // that may measure the thickness of a part
	Signer   signin.Signer
	others   func(*job.Job) ([]binding, error)
	words    words.Words
	drawn    uint64 // the newest fact when the job was looked at, or an earlier one
}

// stream follows a job until it is closed, from what the page shows on.
func (j jobPage) stream() string {
	if j.Stage == job.StageClosed {
		return ""
	}
	return fmt.Sprintf("/jobs/%d/stream?after=%d", j.ID, j.drawn)
}

// MustRead reports whether the cautions come first.
func (j jobPage) MustRead() bool {
	return j.Acknowledged == "" && j.Stage != job.StageClosed && j.Aside == nil
}

// Typed reports whether the readings of the present step are typed in: it has no
// gauge, or one without a connection, or one whose button is for something else.
func (j jobPage) Typed() bool {
	return j.Step.Name != "" && (j.Gauge == nil || j.ByEye() || j.Gauge.ForPresses())
}

// NotReady is why the present step's gauge would give no reading now, as a word of
// the catalogue; empty when it would, or when the reading is typed in.
func (j jobPage) NotReady() string {
	g := j.Gauge
	switch {
	case g == nil || j.Typed():
		return ""
	case g.Health != nil && g.Health.Standing != health.InService:
		return "gauges.bad.standing"
	case g.Outside:
		return ""
	case g.Mode == gauge.ModePoll && g.State == gauge.StateSilent:
		return "" // it is asked first, and may answer
	case g.State != gauge.StateLive:
		return "state." + string(g.State)
	case g.Mode == gauge.ModeStream && g.Last.Reading == nil:
		return "gauge.none"
	}
	return ""
}

// ByEye reports whether the present step's gauge has no connection.
func (j jobPage) ByEye() bool { return j.Gauge != nil && j.Gauge.ReadByEye() }

// Button reports whether the present step's gauge sends at the press of its button.
func (j jobPage) Button() bool { return j.Gauge != nil && j.Gauge.Button() }

// Counting is how many readings of the present step count.
func (j jobPage) Counting() int { return counting(j.State) }

// Next is the number of the next reading.
func (j jobPage) Next() int { return j.Counting() + 1 }

func counting(m evaluate.Measurement) (n int) {
	for _, r := range m.Readings {
		if r.Discarded == "" {
			n++
		}
	}
	return n
}

// discardable is a reading that counts and may be discarded.
type discardable struct {
	procedure.Reading
	Title  string // of its measurement
	Number int    // in its measurement
}

// Discardable lists them, the last one taken first. When a part is fitted, what
// led to it stands.
func (j jobPage) Discardable() (all []discardable, err error) {
	if j.Stage == job.StageClosed {
		return nil, nil
	}
	for _, m := range j.Evaluation.Measurements {
		step, _, _ := j.Procedure.Step(m.Name)
		title, err := say.Step(j.words, step)
		if err != nil {
			return nil, err
		}
		for i, r := range m.Readings {
			if r.Seq != 0 && j.MayDiscard(r) { // a part that is in was measured, and is no reading
				all = append(all, discardable{r, title, i + 1})
			}
		}
	}
	slices.SortFunc(all, func(a, b discardable) int { return cmp.Compare(b.Seq, a.Seq) })
	return all, nil
}

// Findings are those that nothing else on the page says in its own words.
func (j jobPage) Findings() []evaluate.Finding {
	said := slices.ContainsFunc(j.Places, func(v place.View) bool { return len(v.OutOf) > 0 })
	return slices.DeleteFunc(j.Evaluation.Shown(), func(f evaluate.Finding) bool {
		return said && f.Code == evaluate.FindingOutOfStock
	})
}

// Choosing reports whether a part may be settled or fitted: also another one,
// after the proof of the first.
func (j jobPage) Choosing() bool {
	switch j.Stage {
	case job.StageChoose, job.StageFit, job.StageVerify:
		return true
	case job.StageDecided:
		return slices.ContainsFunc(j.Places, func(v place.View) bool { return v.Fitted != nil })
	}
	return false
}

// Measured lists the measurements that have readings, with their steps.
func (j jobPage) Measured() (taken []measured) {
	for _, m := range j.Evaluation.Measurements {
		if len(m.Readings) > 0 || m.Name == j.Measuring {
			step, _, _ := j.Procedure.Step(m.Name)
			taken = append(taken, measured{m, step, scale.NewStrip(m)})
		}
	}
	return taken
}

// measured is a measurement with its step and the drawing of its repeats.
type measured struct {
	evaluate.Measurement
	Step  procedure.Step
	Strip *scale.Strip
}

// Counts is how many readings count.
func (m measured) Counts() int { return counting(m.Measurement) }

// Interval reports whether the present step is read with feelers.
func (j jobPage) Interval() bool {
	return len(j.Step.Codes) == 0 && j.Step.Unit.Kind() == gauge.KindLength
}

// Others are the measurements that may have another gauge now.
func (j jobPage) Others() ([]binding, error) {
	if j.Aside != nil || j.Stage == job.StageClosed || j.MustRead() {
		return nil, nil
	}
	return j.others(j.Job)
}

// Signs is who signs: the one who has said who they are, or, where nobody is asked, the
// technician of the job. Empty: whoever signs says so then.
func (j jobPage) Signs() string {
	if j.Signer.Closed {
		return j.Signer.Name
	}
	return j.Technician
}

// Feelers reports whether the step names a feeler gauge, in either language.
func (j jobPage) Feelers() bool {
	name := strings.ToLower(j.Step.Instrument)
	return strings.Contains(name, "feeler") || strings.Contains(name, "fühler")
}

func (p *Page) jobNow(r *request, id uint64) (page jobPage, err error) {
	drawn := p.o.Station.Newest()
	j, err := p.o.Station.Job(r.Context(), id)
	if err != nil {
		return page, err
	}
	page = jobPage{Job: j, others: p.others, words: r.words, drawn: drawn, Motion: p.motions.Of(j.ID), Signer: signin.SignerOf(r.Request)}
	if step, _, ok := j.Procedure.Step(j.Measuring); ok {
		page.Step = step
		page.State, _ = j.Measurement(step.Name)
		if id := j.Gauges[step.Name]; id != "" {
			line, err := p.gaugeNamed(id)
			if err != nil {
				return page, err
			}
			page.Gauge = &line
		}
	}
	if page.After, err = p.after(j); err != nil {
		return page, err
	}
	if j.Aside != nil {
		if page.Steps, err = p.bindAgain(j); err != nil {
			return page, err
		}
	}
	page.Places = page.places()
	page.Scale = page.proof()
	if page.Choosing() {
		page.Calipers, err = p.calipers()
	}
	return page, err
}

// calipers lists the gauges that may measure the thickness of a part.
func (p *Page) calipers() ([]gaugeLine, error) {
	all, err := p.gaugesNow()
	return slices.DeleteFunc(all.Gauges, func(g gaugeLine) bool {
		return g.Blocked() || g.ReadByEye() || g.OtherThan(gauge.KindLength)
	}), err
}

func (p *Page) showJob(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	page, err := p.jobNow(r, id)
	if err != nil {
		return err
	}
	return p.write(w, r, "job", page)
}

// progress is what shows of a motion, to tell whether it has changed.
func (j jobPage) progress() string {
	if j.Motion == nil {
		return ""
	}
	return fmt.Sprint(len(j.Motion.Plays), len(j.Motion.Faults), j.Motion.Resting, j.Motion.Wanted)
}
