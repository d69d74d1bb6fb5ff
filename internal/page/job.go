package page

import (
	"context"
	"net/http"
	"strconv"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/page/words"
	"gauged/internal/station"
)

func (p *Page) jobRoutes(mux *http.ServeMux) {
	mux.Handle("GET /jobs/{id}", p.handle(p.showJob))
	mux.Handle("GET /jobs/{id}/stream", p.handle(p.streamJob))
	p.actRoutes(mux)
}

// jobPage is a job as it stands.
type jobPage struct {
	*station.Job
	Step    evaluate.Step        // that takes the next reading; without a name none does
	State   evaluate.Measurement // of that step
	Gauge   *gaugeLine           // of that step; nil: its readings are typed in
	Motion  *station.Motion      // how far the capture of a motion has come; nil: none runs
	Wanted  []evaluate.Step      // every step, to measure before and after fitting
	Places  []fitView
	Scale   *scale // of the result after fitting; nil: there is none to show
	words   words.Words
	station *station.Station
}

// stream follows a job until it is closed.
func (j jobPage) stream() string {
	if j.Stage == station.StageClosed {
		return ""
	}
	return "/jobs/" + strconv.FormatUint(j.ID, 10) + "/stream"
}

// MustRead reports whether the cautions come first.
func (j jobPage) MustRead() bool {
	return j.Acknowledged == "" && j.Stage != station.StageClosed
}

// Typed reports whether the readings of the present step are typed in.
func (j jobPage) Typed() bool { return j.Step.Name != "" && j.Gauge == nil }

// Button reports whether the present step's gauge sends at the press of its button.
func (j jobPage) Button() bool { return j.Gauge != nil && j.Gauge.Mode == station.ModeButton }

// Closable reports whether the job can be closed without a reason.
func (j jobPage) Closable() bool {
	if j.Stage == station.StageDecided {
		return j.Evaluation.Outcome != evaluate.Undecided
	}
	return j.Stage == station.StageVerify && len(j.Procedure.Verify) == 0
}

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

// HasReading reports whether a reading can be discarded.
func (j jobPage) HasReading() bool {
	if j.Stage == station.StageClosed {
		return false
	}
	for _, m := range j.Evaluation.Measurements {
		if counting(m) > 0 && (m.After || j.Stage == station.StageMeasure || j.Stage == station.StageChoose) {
			return true
		}
	}
	return false
}

// Recommends reports whether there is a part to settle on.
func (j jobPage) Recommends() bool { return j.Evaluation.Outcome != evaluate.NothingFits }

// Measured lists the measurements that have readings, with their steps.
func (j jobPage) Measured() (taken []measured) {
	for _, m := range j.Evaluation.Measurements {
		if len(m.Readings) > 0 || m.Name == j.Measuring {
			step, _, _ := j.Procedure.Step(m.Name)
			taken = append(taken, measured{m, step, newStrip(m)})
		}
	}
	return taken
}

// measured is a measurement with its step and the drawing of its repeats.
type measured struct {
	evaluate.Measurement
	Step  evaluate.Step
	Strip *strip
}

// Counts is how many readings count.
func (m measured) Counts() int { return counting(m.Measurement) }

// Interval reports whether the present step is read with feelers.
func (j jobPage) Interval() bool {
	return len(j.Step.Codes) == 0 && j.Step.Unit.Kind() == gauge.KindLength
}

func (p *Page) jobNow(ctx context.Context, id uint64, w words.Words) (page jobPage, err error) {
	j, err := p.o.Station.Job(ctx, id)
	if err != nil {
		return page, err
	}
	return p.jobPage(j, w)
}

func (p *Page) jobPage(j *station.Job, w words.Words) (page jobPage, err error) {
	page = jobPage{Job: j, words: w, station: p.o.Station, Motion: p.motions.of(j.ID)}
	page.Wanted = append(append(page.Wanted, j.Procedure.Measure...), j.Procedure.Verify...)
	if step, _, ok := j.Procedure.Step(j.Measuring); ok {
		page.Step = step
		for _, m := range j.Evaluation.Measurements {
			if m.Name == step.Name {
				page.State = m
			}
		}
		if id := j.Gauges[step.Name]; id != "" {
			line, err := p.gaugeNamed(id)
			if err != nil {
				return page, err
			}
			page.Gauge = &line
		}
	}
	page.Places = page.places()
	page.Scale = page.proof()
	return page, nil
}

func (p *Page) showJob(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	page, err := p.jobNow(r.Context(), id, r.words)
	if err != nil {
		return err
	}
	return p.write(w, r, "job", page)
}

// jobRegions are the regions that change when the job does; the live reading
// changes more often and is apart.
var jobRegions = []string{"cautions", "notice", "step", "keys", "keypad", "answer", "repeats", "sum"}

// streamJob keeps a job up to date, and gives the tones.
func (p *Page) streamJob(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	if _, err := p.o.Station.Job(r.Context(), id); err != nil {
		return err
	}
	s := newStream(w, r)
	var before *station.Job
	var motion string
	return p.follow(r.Context(), s, func() error {
		page, err := p.jobNow(r.Context(), id, r.words)
		if err != nil {
			return err
		}
		regions := map[string]string{}
		if regions["live"], err = p.region(r.words.Language(), "job", "live", page); err != nil {
			return err
		}
		if now := page.progress(); page.Job != before || now != motion {
			motion = now
			for _, name := range jobRegions {
				if regions[name], err = p.region(r.words.Language(), "job", name, page); err != nil {
					return err
				}
			}
		}
		if err := s.regions(p.o.Station.Newest(), regions); err != nil {
			return err
		}
		tone := toneOf(before, page.Job)
		before = page.Job
		if tone != "" {
			if err := s.event("tone", 0, tone); err != nil {
				return err
			}
		}
		if page.Stage == station.StageClosed {
			return s.event("leave", 0, "/jobs/"+strconv.FormatUint(id, 10))
		}
		return nil
	})
}

// toneOf is what is heard when a job changes: that a reading was taken, or that
// something was not. The first look at a job is silent.
func toneOf(before, now *station.Job) string {
	switch {
	case before == nil || before == now:
		return ""
	case now.Notice != "":
		return "refused"
	case readings(now) > readings(before):
		return "taken"
	}
	return ""
}

func readings(j *station.Job) (n int) {
	for _, m := range j.Evaluation.Measurements {
		n += len(m.Readings)
	}
	return n
}
