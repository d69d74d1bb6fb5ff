package main

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"sync"

	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

// gaugeInfos tells the station what the configuration says of each gauge.
// Foot switches follow them: they have states too.
func gaugeInfos(gauges []devices.Gauge, switches []devices.Switch) []station.GaugeInfo {
	infos := make([]station.GaugeInfo, len(gauges), len(gauges)+len(switches))
	for i, g := range gauges {
		infos[i] = station.GaugeInfo{
			ID: g.ID, Title: g.Title, Plate: g.Plate, Mode: g.Mode, Press: g.Press, Outside: g.Outside,
			Unit: g.Unit, Resolution: g.Resolution, Ability: g.Ability,
			Pitch: g.Pitch, Presets: g.Presets, Fresh: g.SilentAfter,
		}
		switch {
		case g.Typed:
			infos[i].Connection = "read by eye and typed in"
		case g.Outside:
			infos[i].Connection = "fed from outside"
		case g.TCP != "":
			infos[i].Connection = "serial server " + g.TCP
		case g.Keyboard != "":
			infos[i].Connection = "keyboard " + g.Keyboard
		case g.USB != "":
			infos[i].Connection = "USB " + g.USB
		default:
			infos[i].Connection = g.Port
		}
		if g.Channel != "" {
			infos[i].Connection += ", channel " + g.Channel
		}
		if g.Layout != nil {
			infos[i].Layout = g.Layout.Name
		}
	}
	for _, s := range switches {
		infos = append(infos, station.GaugeInfo{ID: s.ID, Title: s.Title, Mode: gauge.ModeSwitch, Connection: "keyboard " + s.Keyboard})
	}
	return infos
}

// lines is the supervisors of the lines that this station's gauges are on.
type lines struct {
	ports    *devices.Ports
	switches []*devices.Supervisor
	presses  *pressQueue
	sink     func(devices.Event)
	log      *slog.Logger

	mu      sync.Mutex
	byGauge map[string]*line
}

// line is the gauges of one line, and its supervisor.
type line struct {
	*devices.Supervisor
	gauges []devices.Gauge
	stop   func() // and wait until its port is closed
}

// same reports whether a line has gauges on it as they are, and no others.
func (l *line) same(gauges []devices.Gauge) bool {
	return l != nil && slices.EqualFunc(l.gauges, gauges, devices.Gauge.Same)
}

func newLines(c *config.Config, st *station.Station, log *slog.Logger) *lines {
	l := &lines{ports: devices.NewPorts(), presses: newPressQueue(st.Press, log), log: log}
	of := pressesOf(c)
	l.sink = func(e devices.Event) {
		if e.Press == nil {
			st.Report(station.Report{Reading: e.Reading, Reject: e.Reject, State: e.State, Count: e.Count})
		}
		if press, at, is := of.heard(e); is {
			l.presses.Hear(press, at)
		}
	}
	l.byGauge = l.linesOf(c.Gauges, nil)
	for _, sw := range c.Switches {
		l.switches = append(l.switches, devices.NewSwitch(sw, l.ports, l.sink, log))
	}
	return l
}

// linesOf is the lines that gauges are on, by gauge: those that stay as they are, and new ones.
func (l *lines) linesOf(gauges []devices.Gauge, before map[string]*line) map[string]*line {
	by := map[string]*line{}
	for _, on := range devices.ByLine(gauges) {
		one := before[on[0].ID]
		if !one.same(on) {
			one = &line{Supervisor: devices.NewSupervisor(on, devices.NewDialer(l.ports, on...), l.ports, l.sink, l.log), gauges: on}
		}
		for _, g := range on {
			by[g.ID] = one
		}
	}
	return by
}

// start supervises the lines that are not supervised yet, until ctx ends; l.mu is held.
func (l *lines) start(ctx context.Context) {
	for _, one := range l.byGauge {
		if one.stop != nil {
			continue
		}
		ctx, cancel := context.WithCancel(ctx)
		done := make(chan struct{})
		one.stop = func() {
			cancel()
			<-done
		}
		go func() {
			defer close(done)
			one.Run(ctx)
		}()
	}
}

// change supervises gauges as they are configured now. A line on which nothing is another
// stays open; one that is no longer so is closed before another is opened.
func (l *lines) change(ctx context.Context, gauges []devices.Gauge) (changed int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	next := l.linesOf(gauges, l.byGauge)
	for id, one := range l.byGauge {
		if next[id] != one {
			if one.stop != nil {
				one.stop()
			}
			changed++
		}
	}
	l.byGauge = next
	l.start(ctx)
	return changed
}

// run supervises all lines until ctx ends and every port is closed.
func (l *lines) run(ctx context.Context) {
	var running sync.WaitGroup
	running.Go(func() { l.presses.Run(ctx) })
	running.Go(func() {
		if err := l.ports.Run(ctx); err != nil {
			l.log.Warn("plugs are found a little later than they could be", "err", err)
		}
	})
	for _, s := range l.switches {
		running.Go(func() { s.Run(ctx) })
	}
	l.mu.Lock()
	l.start(ctx)
	l.mu.Unlock()
	<-ctx.Done()
	running.Wait()
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, one := range l.byGauge {
		one.stop()
	}
}

// ask makes a polled gauge send a reading now.
func (l *lines) ask(ctx context.Context, gaugeID string) error {
	l.mu.Lock()
	s, ok := l.byGauge[gaugeID]
	l.mu.Unlock()
	if !ok {
		return fmt.Errorf("gauge %s has no line of this station", gaugeID)
	}
	return s.Ask(ctx, gaugeID)
}
