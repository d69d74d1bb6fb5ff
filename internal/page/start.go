package page

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/station"
)

func (p *Page) startRoutes(mux *http.ServeMux) {
	mux.Handle("GET /{$}", p.handle(p.showStart))
	mux.Handle("GET /start/stream", p.handle(p.streamStart))
	mux.Handle("GET /start", p.handle(p.showBinding))
	mux.Handle("POST /jobs", p.form(p.startJob))
}

// startPage is the first page: the open jobs, and a new one.
type startPage struct {
	Open       []*job.Job
	Procedures []*procedure.Procedure
	Technician string // who was it last on this device
}

func (startPage) stream() string { return "/start/stream" }

func (p *Page) startNow() startPage {
	return startPage{Open: p.o.Station.Open(), Procedures: p.o.Station.Library().Procedures()}
}

func (p *Page) showStart(w http.ResponseWriter, r *request) error {
	page := p.startNow()
	if c, err := r.Cookie("technician"); err == nil {
		page.Technician = decoded(c.Value)
	}
	return p.write(w, r, "start", page)
}

// streamStart keeps the list of open jobs up to date.
func (p *Page) streamStart(w http.ResponseWriter, r *request) error {
	s := newStream(w, r)
	s.rest = gaugesRest
	return p.follow(r.Context(), s, func() error {
		open, err := p.region(r.words.Language(), "start", "open", p.startNow())
		if err != nil {
			return err
		}
		return s.regions(p.o.Station.Newest(), map[string]string{"open": open})
	})
}

// bindingPage asks which gauge measures what.
type bindingPage struct {
	Procedure  *procedure.Procedure
	Serial     string
	Technician string
	Steps      []binding
}

// binding is a step with the gauges that may measure it.
type binding struct {
	procedure.Step
	After   bool // measured after fitting
	Choices []gaugeChoice
	Chosen  string // gauge that is proposed; empty: typed in
}

// gaugeChoice is a gauge that can be bound, or why it cannot.
type gaugeChoice struct {
	gaugeLine
	OtherKind bool // it measures forces where the step wants a length, for example
}

// ForPresses reports whether the gauge's button is for something else than its
// reading, which then goes into no job.
func (g gaugeLine) ForPresses() bool { return g.Press != "" && g.Press != gauge.MeansCapture }

// Cannot reports whether the gauge cannot be bound.
func (c gaugeChoice) Cannot() bool { return c.OtherKind || c.ForPresses() || c.NotForNew() }

func (p *Page) showBinding(w http.ResponseWriter, r *request) error {
	page := bindingPage{Serial: strings.TrimSpace(r.FormValue("serial")), Technician: strings.TrimSpace(r.FormValue("technician"))}
	switch {
	case page.Serial == "":
		return gauge.WrongInput("refusal.job.serial")
	case page.Technician == "":
		return gauge.WrongInput("refusal.job.technician")
	}
	var err error
	if page.Procedure, _, err = p.o.Station.Library().Procedure(r.FormValue("procedure")); err != nil {
		return err
	}
	gauges, err := p.gaugesNow()
	if err != nil {
		return err
	}
	for i, steps := range [][]procedure.Step{page.Procedure.Measure, page.Procedure.Verify} {
		for _, step := range steps {
			var choices []gaugeChoice
			for _, g := range gauges.Gauges {
				if len(step.Codes) == 0 {
					choices = append(choices, gaugeChoice{g, g.OtherThan(step.Unit.Kind())})
				}
			}
			page.Steps = append(page.Steps, binding{Step: step, After: i == 1, Choices: choices, Chosen: proposed(step, choices)})
		}
	}
	return p.write(w, r, "binding", page)
}

// proposed is the gauge whose name goes with the instrument that a step names.
// Where none is named it is the only gauge that measures in the step's unit. A step
// that reads marks has no gauge, and in doubt a person chooses.
func proposed(step procedure.Step, choices []gaugeChoice) string {
	choices = slices.DeleteFunc(slices.Clone(choices), func(c gaugeChoice) bool {
		return c.Cannot() || step.Moving != nil && c.Mode != gauge.ModeStream && !c.Outside
	})
	if step.Instrument == "" {
		choices = slices.DeleteFunc(choices, func(c gaugeChoice) bool { return c.Unit != step.Unit })
		if len(choices) == 1 {
			return choices[0].ID
		}
		return ""
	}
	wanted := strings.ToLower(step.Instrument)
	best, most := "", 0
	for _, c := range choices {
		name, score := strings.ToLower(c.ID+" "+c.Title), 0
		if strings.Contains(name, wanted) {
			score = 100
		}
		for _, word := range strings.Fields(wanted) {
			if strings.Contains(name, word) {
				score++
			}
		}
		if score > most {
			best, most = c.ID, score
		}
	}
	return best
}

func (p *Page) startJob(w http.ResponseWriter, r *request) error {
	start := station.StartRequest{
		Procedure: r.FormValue("procedure"), UnitSerial: r.FormValue("serial"), Technician: r.FormValue("technician"),
		Gauges: map[string]string{},
	}
	for name, values := range r.PostForm {
		if step, ok := strings.CutPrefix(name, "gauge."); ok && values[0] != "" {
			start.Gauges[step] = values[0]
		}
	}
	j, err := p.o.Station.StartJob(r.Context(), start)
	if err != nil {
		return err
	}
	http.SetCookie(w, cookie("technician", encoded(start.Technician)))
	http.Redirect(w, r.Request, "/jobs/"+strconv.FormatUint(j.ID, 10), http.StatusSeeOther)
	return nil
}
