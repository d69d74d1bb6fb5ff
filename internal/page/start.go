package page

import (
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/page/lists"
	"gauged/internal/page/memory"
	"gauged/internal/station"
)

func (p *Page) startRoutes(mux *http.ServeMux) {
	mux.Handle("GET /{$}", p.handle(p.showStart))
	mux.Handle("GET /start/stream", p.handle(p.streamStart))
	mux.Handle("GET /start", p.handle(p.showStart))
	mux.Handle("POST /jobs", p.form(p.startJob))
}

// ForPresses reports whether the gauge's button is for something else than its
// reading, which then goes into no job.
func (g gaugeLine) ForPresses() bool { return g.Press != "" && g.Press != gauge.MeansCapture }

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

// gauges are the gauges that a form names, by measurement; an empty one: it is typed in.
func (r *request) gauges() map[string]string {
	named := map[string]string{}
	for name, values := range r.PostForm {
		if step, ok := strings.CutPrefix(name, "gauge."); ok {
			named[step] = values[0]
		}
	}
	return named
}

func (p *Page) startJob(w http.ResponseWriter, r *request) error {
	start := station.StartRequest{
		Procedure: r.FormValue("procedure"), UnitSerial: r.FormValue("serial"), Technician: r.FormValue("technician"),
		Gauges: r.gauges(), Labels: lists.Ordered(r.FormValue("order")), Confirmed: r.FormValue("sure") != "", Read: r.FormValue("read"),
	}
	asked := maps.Clone(start.Gauges) // also where the reading is typed in
	maps.DeleteFunc(start.Gauges, func(_, id string) bool { return id == "" })
	j, err := p.o.Station.StartJob(r.Context(), start)
	switch {
	case err != nil && gauge.Told(err).Code == "refusal.serial.alike":
		return question{err}
	case err != nil:
		return err
	}
	memory.KeepPerson(w, r.Request, start.Technician)
	memory.KeepGauges(w, start.Procedure, asked)
	http.Redirect(w, r.Request, "/jobs/"+strconv.FormatUint(j.ID, 10), http.StatusSeeOther)
	return nil
}
