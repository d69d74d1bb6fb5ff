package page

import (
	"net/http"
	"slices"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/page/events"
	"gauged/internal/page/memory"
	"gauged/internal/page/signin"
)

// startPage is the first page: a new job on one screen, the open ones, and those that wait.
type startPage struct {
	Open       []*job.Job
	Waits      []*job.Job
	Checking   []gaugeLine // gauges with an open check
	Procedures []offered
	Serial     string
	Order      string
	Unit       *unitKnown           // nil: no unit was named yet
	Procedure  *procedure.Procedure // that was chosen; nil: none yet
	Signer     signin.Signer
	People     []string  // who else began jobs on this device
	Steps      []binding // of the chosen procedure
}

func (startPage) stream() string { return "/start/stream" }

// keeps reports whether readings would be discarded with another gauge.
func keeps(steps []binding) bool {
	return slices.ContainsFunc(steps, func(b binding) bool { return b.Kept > 0 })
}

// cannot reports whether there is a gauge that cannot serve.
func cannot(steps []binding) bool {
	return slices.ContainsFunc(steps, func(b binding) bool { return len(b.Cannot) > 0 })
}

// offered is a procedure with why it may be the one. It is never chosen by itself.
type offered struct {
	*procedure.Procedure
	Like string // the unit with a like serial number that it was used for last; empty: none
	Last bool   // it was used last of all
}

// unitKnown is what the history has of the unit that was named.
type unitKnown struct {
	Open  []*job.Job    // jobs on it that are not closed
	Last  *job.Job      // the newest that is closed; nil: none
	Alike *gauge.Worked // another unit that may be meant; nil: none
}

// New reports whether nothing is known of the unit.
func (u unitKnown) New() bool { return len(u.Open) == 0 && u.Last == nil }

func (p *Page) startNow() (page startPage, err error) {
	for _, j := range p.o.Station.Open() {
		if j.Aside != nil {
			page.Waits = append(page.Waits, j)
		} else {
			page.Open = append(page.Open, j)
		}
	}
	gauges, err := p.gaugesNow()
	page.Checking = slices.DeleteFunc(gauges.Gauges, func(g gaugeLine) bool { return g.Checking == nil })
	return page, err
}

// unitJobs is how many jobs on a unit are looked at, and how many of the station for what
// was used last.
const unitJobs = 20

// showStart shows the one screen on which a job begins, with what was said already.
func (p *Page) showStart(w http.ResponseWriter, r *request) (err error) {
	page, err := p.startNow()
	if err != nil {
		return err
	}
	page.Serial, page.Order = strings.TrimSpace(r.FormValue("serial")), r.FormValue("order")
	page.People = memory.People(r.Request)
	page.Signer = signin.SignerOf(r.Request)
	if typed := strings.TrimSpace(r.FormValue("technician")); typed != "" && !page.Signer.Closed {
		page.Signer.Name = typed
	}
	recent, err := p.o.Station.Jobs(r.Context(), gauge.JobQuery{Limit: unitJobs})
	if err != nil {
		return err
	}
	page.Procedures = offers(p.o.Station.Library().Procedures(), recent, page.Serial)
	if page.Serial != "" {
		if page.Unit, err = p.unitKnown(r, page.Serial); err != nil {
			return err
		}
	}
	if id := r.FormValue("procedure"); id != "" {
		if page.Procedure, _, err = p.o.Station.Library().Procedure(id); err != nil {
			return err
		}
		if page.Steps, err = p.bindings(page.Procedure, remembered(r, id, recent), 0); err != nil {
			return err
		}
	}
	return p.write(w, r, "start", page)
}

// unitKnown looks the unit up, however its serial number is written.
func (p *Page) unitKnown(r *request, serial string) (*unitKnown, error) {
	jobs, err := p.o.Station.Jobs(r.Context(), gauge.JobQuery{Unit: serial, Limit: unitJobs})
	if err != nil {
		return nil, err
	}
	u := &unitKnown{}
	for _, j := range jobs {
		if j.Closed.IsZero() {
			u.Open = append(u.Open, j)
		} else if u.Last == nil {
			u.Last = j
		}
	}
	u.Alike, err = p.o.Station.Alike(r.Context(), serial)
	return u, err
}

// offers says of procedures which was used last for a unit whose serial number begins with
// the same letters, and which was used last of all.
func offers(all []*procedure.Procedure, recent []*job.Job, serial string) []offered {
	var list []offered
	like, kind := -1, kindOf(serial)
	if kind != "" {
		like = slices.IndexFunc(recent, func(j *job.Job) bool { return kindOf(j.UnitSerial) == kind })
	}
	for _, one := range all {
		o := offered{Procedure: one, Last: len(recent) > 0 && recent[0].Procedure.ID == one.ID}
		if like >= 0 && recent[like].Procedure.ID == one.ID {
			o.Like = recent[like].UnitSerial
		}
		list = append(list, o)
	}
	return list
}

// kindOf is the letters that a serial number begins with, by which shops tell kinds of units.
func kindOf(serial string) string {
	key := gauge.SerialKey(serial)
	if end := strings.IndexAny(key, "0123456789"); end >= 0 {
		return key[:end]
	}
	return key
}

// binding is a step with the gauges that may measure it.
type binding struct {
	procedure.Step
	After   bool // measured after fitting
	Choices []gaugeChoice
	Cannot  []gaugeChoice // that are not offered
	Before  string        // gauge of a job that goes on
	Kept    int           // readings that count, and stay with it
	Chosen  string        // gauge that is proposed; empty: typed in
}

// gaugeChoice is a gauge that can be bound, or why it cannot.
type gaugeChoice struct {
	gaugeLine
	OtherKind bool       // it measures forces where the step wants a length, for example
	Shows     gauge.Unit // its unit, where the procedure refuses that
	Elsewhere *job.Job   // that its button feeds; nil: none
}

// Cannot reports whether the gauge cannot be bound.
func (c gaugeChoice) Cannot() bool {
	return c.OtherKind || c.Shows.Known() || c.ForPresses() || c.NotForNew() || c.Elsewhere != nil
}

// bindings are the steps of a procedure with the gauges that can serve each, and those that
// cannot. before are the gauges of last time, by measurement.
func (p *Page) bindings(of *procedure.Procedure, before map[string]string, own uint64) (all []binding, err error) {
	gauges, err := p.gaugesNow()
	if err != nil {
		return nil, err
	}
	open := p.o.Station.Open()
	for i, steps := range [][]procedure.Step{of.Measure, of.Verify} {
		for _, step := range steps {
			b := binding{Step: step, After: i == 1}
			for _, g := range gauges.Gauges {
				if len(step.Codes) > 0 {
					break
				}
				c := gaugeChoice{gaugeLine: g, OtherKind: g.OtherThan(step.Unit.Kind())}
				if unit := g.unitNow(); !c.OtherKind && unit.Known() && of.AcceptUnit(step.Name, "", unit) != nil {
					c.Shows = unit
				}
				if at := slices.IndexFunc(open, func(j *job.Job) bool { return j.ID != own && j.Uses(g.ID) }); at >= 0 && g.Mode == gauge.ModeButton {
					c.Elsewhere = open[at]
				}
				if c.Cannot() {
					b.Cannot = append(b.Cannot, c)
				} else {
					b.Choices = append(b.Choices, c)
				}
			}
			b.Chosen = proposed(step, b.Choices)
			if id, known := before[step.Name]; known && (id == "" || slices.ContainsFunc(b.Choices, func(c gaugeChoice) bool { return c.ID == id })) {
				b.Chosen = id
			}
			all = append(all, b)
		}
	}
	return all, nil
}

// streamStart keeps the lists of open jobs and of those that wait up to date.
func (p *Page) streamStart(w http.ResponseWriter, r *request) error {
	s := events.New(w, r.Request)
	s.Rest = gaugesRest
	return p.follow(r, s, func() error {
		regions := map[string]string{}
		now, err := p.startNow()
		if err != nil {
			return err
		}
		for _, name := range []string{"open", "waits", "checking"} {
			if regions[name], err = p.region(r.words.Language(), "start", name, now); err != nil {
				return err
			}
		}
		return s.Regions(p.o.Station.Newest(), regions)
	})
}

// remembered are the gauges of a procedure when it was used last on this device, else of
// the newest job that followed it, by measurement; nil: nothing is known.
func remembered(r *request, procedure string, recent []*job.Job) map[string]string {
	if before := memory.Gauges(r.Request, procedure); before != nil {
		return before
	}
	if at := slices.IndexFunc(recent, func(j *job.Job) bool { return j.Procedure.ID == procedure }); at >= 0 {
		return recent[at].Gauges
	}
	return nil
}
