package page

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/page/guard"
	"gauged/internal/page/say"
	"gauged/internal/station"
)

func (p *Page) actRoutes(mux *http.ServeMux) {
	for name, do := range map[string]func(*request, *job.Job) error{
		"acknowledge": p.acknowledge, "take": p.take, "enter": p.enter, "discard": p.discard, "choose": p.choose,
		"fit": p.fit, "sign": p.sign, "round": p.nextRound, "close": p.closeJob, "aside": p.setAside, "gauge": p.changeGauge, "resume": p.resume, "serial": p.correctSerial, "labels": p.setLabels, "zero": p.zeroReturn,
	} {
		mux.Handle("POST /jobs/{id}/"+name, p.act(do))
	}
	mux.Handle("POST /jobs/{id}/motion", p.form(p.captureMotion))
	mux.Handle("POST /jobs/{id}/motion/stop", p.form(p.stopMotion))
}

// acts lets one form at a time change a job, so that a form can be held against
// the job as it was when the form was drawn. Jobs that share one wait for each other.
type acts [16]sync.Mutex

func (a *acts) of(job uint64) *sync.Mutex { return &a[job%uint64(len(a))] }

// errMovedOn says that a form was drawn before the job's last change: it was
// touched twice, or on two screens.
var errMovedOn = gauge.Refused("refusal.page.moved-on")

// act makes a handler of something that changes a job.
func (p *Page) act(do func(*request, *job.Job) error) http.Handler {
	return p.form(func(w http.ResponseWriter, r *request) error {
		id, err := r.number("id")
		if err != nil {
			return err
		}
		if err := guard.Late(r.Request, p.uptime()); err != nil {
			return err
		}
		one := p.acts.of(id)
		one.Lock()
		defer one.Unlock()
		j, err := p.seen(r, id)
		if err != nil {
			return err
		}
		if err := do(r, j); err != nil {
			return err
		}
		return r.done(w, "/jobs/"+strconv.FormatUint(id, 10))
	})
}

// seen returns the job that a form was drawn of, when it still stands as it was then.
func (p *Page) seen(r *request, id uint64) (*job.Job, error) {
	j, err := p.o.Station.Job(r.Context(), id)
	if err != nil {
		return nil, err
	}
	switch r.FormValue("seen") {
	case strconv.FormatUint(j.LastSeq, 10):
		return j, nil
	case "":
		return nil, gauge.WrongInput("refusal.page.not-seen")
	}
	return nil, errMovedOn
}

// cautionsRead refuses measuring on the page before the cautions were read there.
func cautionsRead(j *job.Job) error {
	if j.Acknowledged == "" {
		return gauge.Refused("refusal.page.cautions", gauge.Count("job", j.ID))
	}
	return nil
}

func (p *Page) acknowledge(r *request, j *job.Job) error {
	_, err := p.o.Station.Acknowledge(r.Context(), j.ID, r.FormValue("by"))
	return err
}

func (p *Page) take(r *request, j *job.Job) error {
	if err := cautionsRead(j); err != nil {
		return err
	}
	// The measurement is named, so that a button pressed at the same moment cannot
	// make this the reading of the next one.
	_, _, err := p.o.Station.Capture(r.Context(), station.CaptureRequest{Job: j.ID, Measurement: j.Measuring, By: r.FormValue("by")})
	return err
}

// question is an error that asks back: the same form with sure=1 goes through.
type question struct{ error }

func (q question) Unwrap() error { return q.error }

func (p *Page) enter(r *request, j *job.Job) error {
	if err := cautionsRead(j); err != nil {
		return err
	}
	shown := r.words.Typed(r.FormValue("shown"))
	goes, stays := r.words.Typed(r.FormValue("goes")), r.words.Typed(r.FormValue("stays"))
	switch {
	case goes == "" && stays == "":
	case shown != "":
		return gauge.WrongInput("refusal.page.value-and-gap")
	case goes == "" || stays == "":
		return gauge.WrongInput("refusal.page.feeler")
	default:
		shown = goes + ".." + stays
	}
	unit, err := gauge.ParseUnit(r.FormValue("unit"))
	if err != nil && r.FormValue("unit") != "" {
		return gauge.AsInput(err)
	}
	if r.FormValue("sure") == "" {
		if err := implausible(j, shown, unit); err != nil {
			return err
		}
	}
	_, _, err = p.o.Station.Enter(r.Context(), station.EnterRequest{
		Job: j.ID, Measurement: j.Measuring, Shown: shown, Unit: unit, Instrument: r.FormValue("instrument"), By: r.FormValue("by"),
	})
	return err
}

// implausible asks whether a value that the step can hardly give was meant.
func implausible(j *job.Job, shown string, unit gauge.Unit) error {
	step, _, ok := j.Procedure.Step(j.Measuring)
	if !ok || !step.Plausible.Limited() {
		return nil
	}
	typed, err := j.Procedure.Typed(j.Measuring, shown, unit)
	if err != nil {
		return nil // what is wrong with it is said where it is entered
	}
	if step.Plausible.Contains(typed.Value) && (typed.Upper == nil || step.Plausible.Contains(*typed.Upper)) {
		return nil
	}
	return question{gauge.WrongInput("refusal.page.implausible", gauge.Shown("shown", shown, unit), gauge.Nested("limits", limitsMessage(step.Plausible, step.Unit)))}
}

// limitsMessage writes limits as a part of a message.
func limitsMessage(l procedure.Limits, u gauge.Unit) gauge.Message {
	switch {
	case l.Min == nil:
		return gauge.Say("because.limits.most", gauge.Shown("most", l.Max.TextIn(u), u))
	case l.Max == nil:
		return gauge.Say("because.limits.least", gauge.Shown("least", l.Min.TextIn(u), u))
	}
	return gauge.Say("because.limits.between", gauge.Shown("least", l.Min.TextIn(u), gauge.UnitUnknown), gauge.Shown("most", l.Max.TextIn(u), u))
}

func (p *Page) discard(r *request, j *job.Job) error {
	var seq uint64
	if text := r.FormValue("reading"); text != "" {
		var err error
		if seq, err = strconv.ParseUint(text, 10, 64); err != nil {
			return gauge.WrongInput("refusal.page.no-reading-number", gauge.Text("text", text))
		}
	}
	reason := r.FormValue("reason")
	if reason == "" {
		reason = r.FormValue("other")
	}
	_, err := p.o.Station.Discard(r.Context(), j.ID, seq, reason, r.FormValue("by"))
	return err
}

func (p *Page) choose(r *request, j *job.Job) error {
	_, err := p.o.Station.Choose(r.Context(), station.ChooseRequest{Job: j.ID, Place: r.FormValue("place"), Part: r.FormValue("part"), Reason: r.FormValue("reason"), By: r.FormValue("by")})
	return err
}

func (p *Page) fit(r *request, j *job.Job) error {
	f := station.FitRequest{Job: j.ID, Place: r.FormValue("place"), Part: r.FormValue("part"), Thickness: r.words.Typed(r.FormValue("thickness")), By: r.FormValue("by")}
	if f.Thickness != "" {
		f.Unit = j.Procedure.Unit
	}
	if from := r.FormValue("from"); f.Thickness == "" && from != "" {
		shown, err := p.justShown(from)
		if err != nil {
			return err
		}
		f.Thickness, f.Unit = shown.Shown, shown.Unit
	}
	if r.FormValue("sure") == "" {
		if err := p.unexpected(r, f); err != nil {
			return err
		}
	}
	_, err := p.o.Station.Fit(r.Context(), f)
	return err
}

// unexpected asks whether a part is fitted that is not the recommended one, does not
// fit, or is not as thick as is stated of it, and says what it would leave.
func (p *Page) unexpected(r *request, f station.FitRequest) error {
	fits, _, err := p.o.Station.Foretell(r.Context(), f)
	if err != nil {
		return err
	}
	var said []string
	for _, fit := range fits {
		if !fit.Unexpected {
			continue
		}
		text, err := say.Foretold(r.words, fit)
		if err != nil {
			return err
		}
		said = append(said, text)
	}
	if len(said) == 0 {
		return nil
	}
	return question{&gauge.Refusal{Kind: gauge.ErrInput, Message: gauge.Plain(strings.Join(said, ". "))}}
}

// justNow is how old a gauge's reading may be to be that of the part in hand.
const justNow = time.Minute

// justShown is the newest reading of a gauge that need not be one of the job.
func (p *Page) justShown(id string) (*gauge.Reading, error) {
	line, err := p.gaugeNamed(id)
	if err != nil {
		return nil, err
	}
	switch shown := line.Last.Reading; {
	case line.Blocked():
		return nil, gauge.Refused("refusal.page.blocked", gauge.Text("gauge", id))
	case shown == nil:
		return nil, gauge.Refused("refusal.gauge.nothing-yet", gauge.Text("gauge", id))
	case line.Mode != gauge.ModeButton && !line.Outside && line.State != gauge.StateLive:
		return nil, gauge.Refused("refusal.gauge.gone", gauge.Text("gauge", id), gauge.WordOf("state", "state", line.State))
	case line.Age > justNow:
		return nil, gauge.Refused("refusal.page.measure-part-again", gauge.Text("gauge", id), gauge.Span("age", line.Age))
	default:
		return shown, nil
	}
}

// sign signs the verdict and closes the job with it.
func (p *Page) sign(r *request, j *job.Job) error {
	_, err := p.o.Station.SignAndClose(r.Context(), j.ID, r.FormValue("reason"), r.FormValue("by"))
	return err
}

func (p *Page) nextRound(r *request, j *job.Job) error {
	_, err := p.o.Station.NextRound(r.Context(), j.ID, r.FormValue("by"))
	return err
}

func (p *Page) closeJob(r *request, j *job.Job) error {
	_, err := p.o.Station.CloseJob(r.Context(), j.ID, r.FormValue("reason"), r.FormValue("by"))
	return err
}

// captureMotion takes what the procedure wants from a moving indicator. It ends
// with the motion, or when the page that began it is left; meanwhile the stream of
// every page of the job tells how far it has come.
func (p *Page) captureMotion(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	j, err := p.seen(r, id)
	if err != nil {
		return err
	}
	if err := cautionsRead(j); err != nil {
		return err
	}
	// A motion takes longer than a request usually may.
	if err := http.NewResponseController(w).SetReadDeadline(time.Time{}); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	ctx, stop := context.WithCancel(r.Context())
	defer stop()
	if err := p.motions.Begin(id, stop); err != nil {
		return err
	}
	defer p.motions.End(id)
	_, _, err = p.o.Station.CaptureMotion(ctx, station.CaptureRequest{Job: id, Measurement: j.Measuring, By: r.FormValue("by")}, func(m station.Motion) { p.motions.Put(id, m) })
	// Stopped by its key, or the page was left and nobody is there to be told.
	if err != nil && !errors.Is(err, context.Canceled) {
		return err
	}
	return r.done(w, "/jobs/"+strconv.FormatUint(id, 10))
}

// stopMotion gives a running capture up; what it found so far is not taken.
func (p *Page) stopMotion(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	p.motions.Stop(id)
	return r.done(w, "/jobs/"+strconv.FormatUint(id, 10))
}
