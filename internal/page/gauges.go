package page

import (
	"errors"
	"net/http"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
	"gauged/internal/page/events"
	"gauged/internal/station"
)

// gaugesRest is the least time between two events of the list of gauges: whoever
// looks at all of them sees no more.
const gaugesRest = 500 * time.Millisecond

func (p *Page) gaugesRoutes(mux *http.ServeMux) {
	mux.Handle("GET /gauges", p.handle(p.showGauges))
	mux.Handle("GET /gauges/stream", p.handle(p.streamGauges))
}

// gaugesPage is the list of all gauges: first those with which something is to be done.
type gaugesPage struct {
	Gauges  []gaugeLine
	Masters map[string]check.Master
	now     time.Time
	Tasks   []task // this week, the first first
}

func (gaugesPage) stream() string { return "/gauges/stream" }

// gaugeLine is one gauge with what is known of it now.
type gaugeLine struct {
	station.GaugeStatus
	Health   *health.Gauge
	Age      time.Duration // of the last reading; there may be none
	Stands   time.Duration // how long it has been in its state
	Due      time.Time     // of the next check; zero: no term
	Overdue  bool
	DueWhy   gauge.Message   // why it is due now; zero: it is not
	Late     bool            // it is due in the midst of a job, too
	Work     *jobs.WorkError // nil: not enough jobs yet
	Checking *health.Begun   // the check that is open; nil: none is
}

// ReadByEye reports whether the gauge has no connection: it is read and typed in, and shows
// nothing now.
func (g gaugeLine) ReadByEye() bool { return g.Mode == gauge.ModeTyped }

// Button reports whether the gauge sends at the press of its button.
func (g gaugeLine) Button() bool { return g.Mode == gauge.ModeButton }

// GoesOn reports whether an open check is gone on with on its page, and not by command.
func (g gaugeLine) GoesOn() bool { return g.Checking != nil && len(g.Checking.Points) > 0 }

// Bad reports whether somebody should look at the gauge, and why in a word of
// the catalogue; empty when all is well.
func (g gaugeLine) Bad() string {
	switch {
	case g.Health != nil && g.Health.Standing != health.InService:
		return "gauges.bad.standing"
	case g.State == gauge.StateFailed:
		return "gauges.bad.failed"
	case g.Work != nil && g.Work.Alarm:
		return "gauges.bad.work"
	case g.Health != nil && pointing(g.Health.ChartNow()):
		return "gauges.bad.chart"
	case g.Overdue:
		return overdue
	}
	return ""
}

// Blocked reports whether a job refuses the gauge, also in its midst.
func (g gaugeLine) Blocked() bool {
	return g.Health != nil && (g.Health.Standing != health.InService || g.Late && g.blocks())
}

// NotForNew reports whether a new job refuses the gauge.
func (g gaugeLine) NotForNew() bool { return g.Blocked() || g.Overdue && g.blocks() }

// blocks reports whether a check that is due keeps the gauge from jobs.
func (g gaugeLine) blocks() bool { return g.Health.Plan != nil && g.Health.Plan.Blocks }

// OtherThan reports whether the gauge is known to measure something else than that.
func (g gaugeLine) OtherThan(kind gauge.Kind) bool {
	unit := g.Unit
	if g.Last.Reading != nil && unit.Kind() == gauge.KindNone {
		unit = g.Last.Reading.Unit
	}
	return unit.Kind() != gauge.KindNone && unit.Kind() != kind
}

// unitNow is the unit that the gauge shows: that of its last reading, since a gauge can be
// switched, else the one it is configured with.
func (g gaugeLine) unitNow() gauge.Unit {
	if g.Last.Reading != nil {
		return g.Last.Reading.Unit
	}
	return g.Unit
}

// Remedy is what is to be done before the gauge may be used again; empty: nothing.
func (g gaugeLine) Remedy() health.Remedy {
	if g.Health == nil {
		return ""
	}
	return g.Health.Remedy()
}

// Never reports whether the gauge was never checked although it has a plan.
func (g gaugeLine) Never() bool {
	return g.Health != nil && g.Health.Plan != nil && g.Health.Last == nil
}

// overdue says that nothing is wrong but that the check is due.
const overdue = "gauges.bad.overdue"

func pointing(charts map[string]bool) bool {
	for _, points := range charts {
		if points {
			return true
		}
	}
	return false
}

// Battery reports whether the last reading came with a low battery.
func (g gaugeLine) Battery() bool {
	return g.Last.Reading != nil && g.Last.Reading.Status == gauge.StatusLowBattery
}

func (p *Page) gaugeLine(g station.GaugeStatus) (gaugeLine, error) {
	now := p.o.Now()
	line := gaugeLine{GaugeStatus: g, Stands: now.Sub(g.Since)}
	if g.Last.Reading != nil {
		line.Age = now.Sub(g.Last.Reading.Time)
	}
	h, err := p.o.Station.Health(g.ID)
	if errors.Is(err, gauge.ErrNotFound) {
		return line, nil
	}
	if err != nil {
		return line, err
	}
	line.Health, line.Due, line.DueWhy, line.Late = h, h.Due(), h.DueNow(g.ID, now), h.OverdueInJob(now)
	line.Overdue, line.Checking = !line.DueWhy.IsZero(), h.Checking(now)
	if e, ok := p.o.Station.KnownWorkErrors()[g.ID]; ok {
		line.Work = &e
	}
	return line, nil
}

// gaugesNow lists what measures, which switches do not: what somebody should look at first.
func (p *Page) gaugesNow() (gaugesPage, error) {
	page := gaugesPage{Masters: p.o.Station.Masters(), now: p.o.Now()}
	for _, g := range p.o.Station.Gauges() {
		if g.Mode == gauge.ModeSwitch {
			continue
		}
		line, err := p.gaugeLine(g)
		if err != nil {
			return page, err
		}
		page.Gauges = append(page.Gauges, line)
	}
	page.order()
	return page, nil
}

func (p *Page) showGauges(w http.ResponseWriter, r *request) error {
	page, err := p.gaugesNow()
	if err != nil {
		return err
	}
	return p.write(w, r, "gauges", page)
}

func (p *Page) streamGauges(w http.ResponseWriter, r *request) error {
	s := events.New(w, r.Request)
	s.Rest = gaugesRest
	return p.follow(r, s, func() error {
		page, err := p.gaugesNow()
		if err != nil {
			return err
		}
		regions := map[string]string{}
		for _, name := range []string{"summary", "list"} {
			if regions[name], err = p.region(r.words.Language(), "gauges", name, page); err != nil {
				return err
			}
		}
		return s.Regions(p.o.Station.Newest(), regions)
	})
}
