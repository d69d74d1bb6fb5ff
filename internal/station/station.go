package station

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/library"
	"gauged/internal/lookback"
	"gauged/internal/proof"
	"gauged/internal/tail"
)

// Options is what a station is made from.
type Options struct {
	Name    string // of the station, in the heads of its history
	Store   Store
	Gauges  []GaugeInfo
	Library *library.Library        // in force at the start
	Masters map[string]check.Master // known values to check gauges against
	Plans   map[string]*check.Plan  // of checks, by gauge
	Proven  bool                    // who signs has to prove who they are, which a press does not
	Now     func() time.Time
	// Edited reports whether a file in force has another content on disk by now; nil: that
	// is not known. It does not last longer than its context.
	Edited func(context.Context, library.File) bool
	// Ask makes a polled gauge send a reading now; it arrives as a report.
	Ask func(ctx context.Context, gaugeID string) error
	// OnCommit hears of every commit: how long it took, how many facts it had,
	// and its error. It must not block.
	OnCommit func(took time.Duration, facts int, err error)
	Besides  func() []gauge.Message // what is wrong besides: with exits, with certificates; nil: nothing is known
	// OnDamage hears of each job and gauge whose stored facts cannot be put together, and of
	// damage in who may come in; nil: nobody does.
	OnDamage func(error)
}

// Station runs the jobs of one bench or site.
type Station struct {
	*lookback.Reader // what only reads and computes
	*proof.Archive   // the history as what proves itself

	o     Options
	files *job.Files
	inbox chan *request
	done  chan struct{} // closed when Run has ended

	mu      sync.RWMutex // guards committed state, which Run changes and others read
	gauges  map[string]*GaugeStatus
	order   []string
	health  map[string]*health.Gauge
	jobs    map[uint64]*job.Job // open ones
	lastJob uint64
	library *library.Library
	masters map[string]check.Master // never changed, but replaced: see Configure
	plans   map[string]*check.Plan
	sources map[string]uint64   // highest durable number by sender
	thinned thinned             // of those, what is kept
	refused map[string]*thinned // likewise, of each gauge that is fed from outside; the loop's
	unknown uint64              // readings refused for want of a gauge, since the start
	changed chan struct{}       // closed and replaced at each commit
	news    news

	unlike  map[uint64]bool  // facts of gauges and of access that are not what was stored
	missing uint64           // number of the history that no fact has; what it was cannot be known. 0: none
	unread  map[string]error // why the last readings of gauges cannot be read

	tail     *tail.Tail
	register atomic.Pointer[access.Register]

	accessChanged chan struct{} // closed and replaced at each change of who may come in
}

// inboxSize bounds what waits for the next commit. A full inbox makes gauges
// wait, and their bytes wait in the line's own buffer.
const inboxSize = 1024

// New loads the open jobs and stores the file versions that the history does
// not have yet.
func New(ctx context.Context, o Options) (*Station, error) {
	s := &Station{
		o: o, files: job.NewFiles(o.Store),
		inbox: make(chan *request, inboxSize), done: make(chan struct{}),
		gauges: map[string]*GaugeStatus{}, health: map[string]*health.Gauge{}, jobs: map[uint64]*job.Job{}, sources: map[string]uint64{},
		changed: make(chan struct{}), accessChanged: make(chan struct{}), unread: map[string]error{}, refused: map[string]*thinned{}, tail: tail.New(o.Store), library: o.Library, masters: o.Masters, plans: o.Plans,
	}
	s.Reader = lookback.New(o.Store, s, o.Now)
	s.Quarantine.Heard = func(d *job.Damaged) { s.damaged(d) }
	s.Archive = proof.New(o.Store, o.Name, o.Now)
	if err := s.loadGauges(ctx); err != nil {
		return nil, err
	}
	var err error
	if s.unlike, err = o.Store.Unlike(ctx); err != nil {
		return nil, fmt.Errorf("compare what decides with what was stored: %w", err)
	}
	if s.missing, err = o.Store.Missing(ctx); err != nil {
		return nil, fmt.Errorf("look for facts that are missing: %w", err)
	}
	for _, load := range []func(context.Context) error{s.loadAccess, s.loadHealth, s.storeFiles, s.loadJobs, s.loadLastUse} {
		if err := load(ctx); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *Station) loadGauges(ctx context.Context) error {
	last, err := s.o.Store.LastReadings(ctx)
	if err != nil {
		return fmt.Errorf("load the last readings: %w", err)
	}
	add := func(info GaugeInfo, state gauge.State) {
		g := &GaugeStatus{GaugeInfo: info, State: state, Since: s.o.Now(), Rejected: map[gauge.Reason]uint64{}}
		if f, ok := last[info.ID]; ok {
			g.Last, g.lastNumber = f, f.Reading.Number
		}
		if g.Last.Reading != nil && g.Last.Seq == 0 {
			g.Last, s.unread[info.ID] = gauge.Fact{}, health.ErrUnreadable
		}
		s.gauges[info.ID] = g
	}
	for _, info := range s.o.Gauges {
		state := gauge.StateAbsent
		switch {
		case info.Mode == gauge.ModeTyped:
			state = gauge.StateLive // there is nothing that could be unplugged
		case info.Outside:
			state = gauge.StateOpening
		}
		add(info, state)
		s.order = append(s.order, info.ID)
	}
	// Gauges of the past and typed values go on being counted without a hole.
	for id := range last {
		if _, configured := s.gauges[id]; !configured {
			add(GaugeInfo{ID: id}, gauge.StateAbsent)
		}
	}
	return nil
}

func (s *Station) loadJobs(ctx context.Context) error {
	var err error
	if s.lastJob, err = s.o.Store.LastJob(ctx); err != nil {
		return fmt.Errorf("load jobs: %w", err)
	}
	open, err := s.o.Store.JobsWithout(ctx, job.KindClosed)
	if err != nil {
		return fmt.Errorf("load jobs: %w", err)
	}
	for _, id := range open {
		j, err := job.Load(ctx, s.o.Store, id, s.files, nil)
		switch {
		case err == nil:
			s.jobs[id] = j.Warned(s.healthOf, s.o.Now())
		case !s.Quarantine.Has(err):
			return err
		}
	}
	return nil
}

// ID returns the identity of the station's history.
func (s *Station) ID() string { return s.o.Store.ID() }

// Now is the time by the station's clock.
func (s *Station) Now() time.Time { return s.o.Now() }

// Stretch returns the identity of the numbers that are given out since the start.
func (s *Station) Stretch() string { return s.o.Store.Stretch() }

// Holds reports whether a number that was given out when a stretch was the newest stands for the same now.
func (s *Station) Holds(ctx context.Context, stretch string, seq uint64) (bool, error) {
	return s.o.Store.Holds(ctx, stretch, seq)
}

// Library returns the procedures and part families in force.
func (s *Station) Library() *library.Library {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.library
}

// Gauges returns the configured gauges in order.
func (s *Station) Gauges() []GaugeStatus {
	s.mu.RLock()
	defer s.mu.RUnlock()
	gauges := make([]GaugeStatus, len(s.order))
	for i, id := range s.order {
		gauges[i] = s.gauges[id].copy()
	}
	return gauges
}

// Gauge returns one configured gauge, or ErrNotFound.
func (s *Station) Gauge(id string) (GaugeStatus, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if !slices.Contains(s.order, id) {
		return GaugeStatus{}, s.noGauge(id)
	}
	return s.gauges[id].copy(), nil
}

// Seen reports whether a gauge is configured, or readings of it are stored.
func (s *Station) Seen(id string) bool {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.gauges[id] != nil
}

// noGauge is the error of a gauge that is not configured.
func (s *Station) noGauge(id string) error {
	return gauge.NotFound("refusal.gauge.missing", gauge.Text("gauge", id), gauge.Others("others", id, s.order))
}

func (g *GaugeStatus) copy() GaugeStatus {
	c := *g
	c.Rejected = make(map[gauge.Reason]uint64, len(g.Rejected))
	for reason, n := range g.Rejected {
		c.Rejected[reason] = n
	}
	return c
}

// UnknownReadings returns how many readings were refused since the start
// because no gauge of that id is fed from outside.
func (s *Station) UnknownReadings() uint64 {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.unknown
}

// Watch returns a cursor that begins after a number of the history.
func (s *Station) Watch(after uint64) *tail.Cursor { return s.tail.From(after) }

// Newest returns the number of the newest durable fact.
func (s *Station) Newest() uint64 { return s.tail.Newest() }

// Changed returns a channel that is closed at the next commit. Take it before
// looking, so that no change is missed.
func (s *Station) Changed() <-chan struct{} {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.changed
}
