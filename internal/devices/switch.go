package devices

import (
	"context"
	"errors"
	"log/slog"
	"os"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Meanings lists every meaning. The port of a switch gives the number of one here
// for each press.
var Meanings = []gauge.Meaning{gauge.MeansCapture, gauge.MeansDiscard, gauge.MeansNext}

// Switch is what a shop says about a foot switch, which is a keyboard of a few keys.
type Switch struct {
	ID       string
	Title    string
	Keyboard string   // as in Gauge
	Gauges   []string // of its bench; empty: it serves the only open job
	Keys     map[uint16]gauge.Meaning
}

// ReadSwitches reads the definitions of foot switches, in the order of the file.
// They and the gauges must not be on one keyboard, or have one id.
func ReadSwitches(v shopfile.Value, gauges []Gauge) []Switch {
	if !v.Given() {
		return nil
	}
	ids, keyboards := map[string]bool{}, map[string]string{}
	for _, g := range gauges {
		ids[g.ID] = true
		if g.Keyboard != "" {
			keyboards[resolved(g.Keyboard)] = g.ID
		}
	}
	var switches []Switch
	for _, e := range v.Map().Names() {
		s := readSwitch(e.Key.Word(), e.Value, ids)
		if ids[s.ID] {
			e.Key.Wrong(gauge.Say("station.switch-id", shopfile.Quoted("id", s.ID)))
		}
		if other, taken := keyboards[resolved(s.Keyboard)]; taken && s.Keyboard != "" {
			e.Value.Wrong(gauge.Say("station.switch-keyboard", shopfile.Quoted("keyboard", s.Keyboard), shopfile.Quoted("other", other)))
		}
		keyboards[resolved(s.Keyboard)] = s.ID
		switches = append(switches, s)
	}
	return switches
}

func readSwitch(id string, v shopfile.Value, gauges map[string]bool) Switch {
	m := v.Map()
	s := Switch{ID: id, Title: m.Get("title").Text(), Keys: map[uint16]gauge.Meaning{}}
	keyboard := m.Need("keyboard")
	if s.Keyboard = keyboard.Text(); keyboard.Given() && s.Keyboard == "" {
		keyboard.Wrong(gauge.Say("station.switch-path"))
	}
	keys := m.Need("keys")
	for _, e := range keys.Map().Entries() {
		code, known := keyNamed(e.Key.Text())
		if !known {
			e.Key.Wrong(gauge.Say("station.no-key", e.Key.As("key"), gauge.Texts("known", keyNames())))
		}
		s.Keys[code] = gauge.Meaning(e.Value.OneOf(string(gauge.MeansCapture), string(gauge.MeansDiscard), string(gauge.MeansNext)))
	}
	if keys.Given() && len(s.Keys) == 0 {
		keys.Wrong(gauge.Say("station.keys-empty"))
	}
	if bench := m.Get("gauges"); bench.Given() {
		for _, one := range bench.List() {
			if s.Gauges = append(s.Gauges, one.Text()); one.Text() != "" && !gauges[one.Text()] {
				one.Wrong(gauge.Say("station.no-gauge", one.As("gauge")))
			}
		}
	}
	m.Done()
	return s
}

// Press is what an Event says of a switch.
type Press struct {
	Switch string
	Time   time.Time
	Means  gauge.Meaning
}

// NewSwitch returns the supervisor of a foot switch, as NewSupervisor does for
// gauges. It has the states of a button gauge.
func NewSwitch(sw Switch, ports *Ports, sink func(Event), log *slog.Logger) *Supervisor {
	s := &Supervisor{backoff: again, dialer: newSwitchDialer(sw), ports: ports, log: log, asks: make(chan ask), stopped: make(chan struct{})}
	l := newLane(Gauge{ID: sw.ID, Keyboard: sw.Keyboard, Mode: gauge.ModeButton}, sink, log)
	s.lanes = []*lane{l}
	s.serve = func(ctx context.Context, port Port) error {
		r := startReader(port)
		defer r.stop()
		l.begin(time.Now())
		for {
			select {
			case <-ctx.Done():
				return ctx.Err()
			case c := <-r.chunks:
				for _, number := range c.data {
					s.backoff.Reset()
					sink(Event{Count: 1, Press: &Press{sw.ID, c.at, Meanings[number]}})
				}
				if c.err != nil && !errors.Is(c.err, os.ErrDeadlineExceeded) {
					return c.err
				}
			}
		}
	}
	return s
}

// readPress reads what a press of a gauge's data button means.
func (g *Gauge) readPress(v shopfile.Value) {
	if !v.Given() {
		return
	}
	g.Press = gauge.Meaning(v.OneOf(string(gauge.MeansCapture), string(gauge.MeansDiscard), string(gauge.MeansNext)))
	if g.Mode != gauge.ModeButton && g.Mode != "" {
		v.Wrong(gauge.Say("station.not-pressed"))
	}
}
