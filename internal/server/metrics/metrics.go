// Package metrics shows a station to monitoring, in the form of Prometheus.
package metrics

import (
	"context"
	"log/slog"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"gauged/internal/evaluate"
	"gauged/internal/exits"
	"gauged/internal/gauge"
	"gauged/internal/history/chain"
	"gauged/internal/job"
	"gauged/internal/server/forward"
	"gauged/internal/station"
	"gauged/internal/tail"
)

// Options is what metrics are made from.
type Options struct {
	Station   *station.Station
	Commits   *Commits
	Forwarder *forward.Link         // nil when the station evaluates by itself
	Exits     func() []exits.Status // how the exits stand; nil: there are none
	Version   string
	Now       func() time.Time
	Log       *slog.Logger
	// SignsEvery is how often the gauges are looked at for signs of a fault; 0: every minute.
	SignsEvery time.Duration
}

// Metrics collects what a station shows to monitoring. Everything but the count
// of verdicts and the signs of faults is built at the scrape from the station as it stands, so nothing
// outlives what it tells of.
type Metrics struct {
	o      Options
	cursor *tail.Cursor

	mu       sync.Mutex
	verdicts map[evaluate.Outcome]uint64
	signs    map[string]seen // by gauge
	head     chain.Head      // that is shown
}

// New returns metrics that count verdicts from here on while Run runs.
func New(o Options) *Metrics {
	return &Metrics{o: o, cursor: o.Station.Watch(o.Station.Newest()), verdicts: map[evaluate.Outcome]uint64{}, signs: map[string]seen{}}
}

// Run counts verdicts, keeps up what the jobs say of the gauges, and looks for signs of
// faults, until ctx ends.
func (m *Metrics) Run(ctx context.Context) {
	var running sync.WaitGroup
	running.Go(func() { m.followWork(ctx) })
	running.Go(func() { m.followSigns(ctx) })
	defer running.Wait()
	for {
		page, err := m.cursor.Next(ctx)
		if ctx.Err() != nil {
			return
		}
		if err != nil {
			m.o.Log.Error("verdicts cannot be counted", "error", err)
			select {
			case <-time.After(time.Second):
				continue
			case <-ctx.Done():
				return
			}
		}
		m.count(page.Facts)
	}
}

func (m *Metrics) count(facts []gauge.Fact) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, f := range facts {
		if outcome, ok := job.Verdict(f); ok && outcome != evaluate.Measuring {
			m.verdicts[outcome]++
		}
	}
}

func desc(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc(prometheus.BuildFQName("gauged", "", name), help, labels, nil)
}

var (
	readingsDesc   = desc("readings_total", "Readings stored since the daemon started.", "gauge")
	rejectedDesc   = desc("frames_rejected_total", "Frames that gave no reading since the daemon started, by reason.", "gauge", "reason")
	stateDesc      = desc("connection_state", "1 for the state that the connection to the gauge is in, 0 for the others.", "gauge", "state")
	stateAgeDesc   = desc("connection_state_age_seconds", "How long the connection to the gauge has been in its state.", "gauge")
	lastTimeDesc   = desc("last_reading_timestamp_seconds", "Host time of the last stored reading, in seconds since 1970.", "gauge")
	lastValueDesc  = desc("last_reading_meters", "Value of the last stored reading.", "gauge")
	unknownDesc    = desc("unknown_readings_total", "Readings that programs sent for gauges that are not fed from outside here, since the daemon started.")
	asideDesc      = desc("jobs_aside", "Jobs that are set aside; they are not closed either.")
	damagedDesc    = desc("jobs_damaged", "Jobs whose stored facts cannot be put together, found since the daemon started; they are set aside, and everything else runs.")
	badGaugesDesc  = desc("gauges_damaged", "Gauges of which a stored fact is damaged; they are out of service, and everything else runs.")
	badAccessDesc  = desc("access_damaged", "1 while a stored fact about who may come in is damaged: nobody is let in by a token, a device or a PIN.")
	openJobsDesc   = desc("jobs_open", "Jobs that are not closed.")
	verdictsDesc   = desc("verdicts_total", "Evaluations stored as verdicts since the daemon started, by outcome. A job gives one each time its evaluation changes, once its readings are complete.", "outcome")
	lastSeqDesc    = desc("history_last_seq", "Number of the newest entry of the history.")
	troubleDesc    = desc("history_troubles", "What is wrong with the history and its disk now: nothing can be stored, or its file was taken away; gaugectl status says which.")
	headDesc       = desc("history_head_seq", "Number of the newest entry of the history when it was last signed, once an hour, with what proves it: kept elsewhere, it is a witness.", "station", "time", "digest", "signature")
	keyDesc        = desc("history_info", "1, with the identity of the history and the public half of the station's key.", "history", "station_key")
	buildInfoDesc  = desc("build_info", "1, with the version of the daemon and of the Go that built it.", "version", "goversion")
	connectedDesc  = desc("evaluator_connected", "1 while the link to the evaluating daemon is up.")
	connectsDesc   = desc("evaluator_connects_total", "Times that the link to the evaluating daemon came up since the daemon started.")
	ackedDesc      = desc("evaluator_acknowledged_seq", "Number of the last reading that the evaluating daemon has stored; 0 when not known yet.")
	behindDesc     = desc("evaluator_behind_entries", "Entries of the history after the last one that is known to be settled at the evaluating daemon.")
	evaluatedDesc  = desc("evaluator_evaluations_total", "Evaluations received from the evaluating daemon since the daemon started.")
	refusedDesc    = desc("evaluator_refused_readings_total", "Readings that the evaluating daemon did not accept since the daemon started.")
	stationDescs   = []*prometheus.Desc{readingsDesc, rejectedDesc, stateDesc, stateAgeDesc, lastTimeDesc, lastValueDesc, unknownDesc, asideDesc, damagedDesc, badGaugesDesc, badAccessDesc, openJobsDesc, verdictsDesc, lastSeqDesc, troubleDesc, headDesc, keyDesc, buildInfoDesc}
	evaluatorDescs = []*prometheus.Desc{connectedDesc, connectsDesc, ackedDesc, behindDesc, evaluatedDesc, refusedDesc}
)

// Describe implements prometheus.Collector.
func (m *Metrics) Describe(ch chan<- *prometheus.Desc) {
	for _, d := range stationDescs {
		ch <- d
	}
	for _, d := range healthDescs {
		ch <- d
	}
	if m.o.Forwarder != nil {
		for _, d := range evaluatorDescs {
			ch <- d
		}
	}
	for _, d := range exitDescs {
		ch <- d
	}
	m.o.Commits.describe(ch)
}

// sample is one value of a scrape.
func sample(ch chan<- prometheus.Metric, d *prometheus.Desc, kind prometheus.ValueType, value float64, labels ...string) {
	ch <- prometheus.MustNewConstMetric(d, kind, value, labels...)
}

// Collect implements prometheus.Collector.
func (m *Metrics) Collect(ch chan<- prometheus.Metric) {
	s := m.o.Station
	m.collectWork(ch)
	m.collectMasters(ch)
	damagedGauges, damagedAccess := 0, 0
	for _, g := range s.Gauges() {
		m.collectGauge(ch, g)
		m.collectSigns(ch, g.ID)
		h, err := s.Health(g.ID)
		if err == nil && g.Mode != gauge.ModeSwitch {
			collectHealth(ch, g.ID, h, m.o.Now())
		}
		if err == nil && h.Damage != nil {
			damagedGauges++
		}
	}
	if s.Register().Damaged() != nil {
		damagedAccess = 1
	}
	sample(ch, unknownDesc, prometheus.CounterValue, float64(s.UnknownReadings()))
	sample(ch, asideDesc, prometheus.GaugeValue, float64(s.Aside()))
	sample(ch, damagedDesc, prometheus.GaugeValue, float64(len(s.Quarantine.Jobs())))
	sample(ch, badGaugesDesc, prometheus.GaugeValue, float64(damagedGauges))
	sample(ch, badAccessDesc, prometheus.GaugeValue, float64(damagedAccess))
	sample(ch, openJobsDesc, prometheus.GaugeValue, float64(s.OpenJobs()))
	sample(ch, lastSeqDesc, prometheus.GaugeValue, float64(s.Newest()))
	sample(ch, troubleDesc, prometheus.GaugeValue, float64(len(s.Archive.Troubles())))
	m.collectHead(ch)
	sample(ch, buildInfoDesc, prometheus.GaugeValue, 1, m.o.Version, runtime.Version())
	m.collectVerdicts(ch)
	m.o.Commits.collect(ch)
	m.collectExits(ch)
	if m.o.Forwarder != nil {
		collectLink(ch, m.o.Forwarder.Status())
	}
}

func (m *Metrics) collectGauge(ch chan<- prometheus.Metric, g station.GaugeStatus) {
	sample(ch, readingsDesc, prometheus.CounterValue, float64(g.Readings), g.ID)
	for _, reason := range gauge.Reasons {
		if reason != gauge.ReasonUnknown { // it has no gauge
			sample(ch, rejectedDesc, prometheus.CounterValue, float64(g.Rejected[reason]), g.ID, string(reason))
		}
	}
	for _, state := range gauge.States {
		sample(ch, stateDesc, prometheus.GaugeValue, oneIf(state == g.State), g.ID, string(state))
	}
	sample(ch, stateAgeDesc, prometheus.GaugeValue, max(m.o.Now().Sub(g.Since).Seconds(), 0), g.ID)
	if r := g.Last.Reading; r != nil {
		sample(ch, lastTimeDesc, prometheus.GaugeValue, float64(r.Time.UnixMilli())/1e3, g.ID)
		if r.Unit.Kind() == gauge.KindLength { // it is in metres
			sample(ch, lastValueDesc, prometheus.GaugeValue, r.Value.Metres(), g.ID)
		}
	}
}

func (m *Metrics) collectVerdicts(ch chan<- prometheus.Metric) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, outcome := range evaluate.Outcomes {
		if outcome != evaluate.Measuring && outcome != evaluate.Advised { // these are no verdicts
			sample(ch, verdictsDesc, prometheus.CounterValue, float64(m.verdicts[outcome]), strings.ReplaceAll(string(outcome), " ", "_"))
		}
	}
}

func collectLink(ch chan<- prometheus.Metric, l forward.Status) {
	sample(ch, connectedDesc, prometheus.GaugeValue, oneIf(l.Connected))
	sample(ch, connectsDesc, prometheus.CounterValue, float64(l.Connects))
	sample(ch, ackedDesc, prometheus.GaugeValue, float64(l.Acknowledged))
	sample(ch, behindDesc, prometheus.GaugeValue, float64(l.Behind))
	sample(ch, evaluatedDesc, prometheus.CounterValue, float64(l.Evaluations))
	sample(ch, refusedDesc, prometheus.CounterValue, float64(l.Refused))
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
