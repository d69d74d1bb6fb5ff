package main

import (
	"context"
	"fmt"
	"log/slog"
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
			ID: g.ID, Title: g.Title, Mode: g.Mode, Press: g.Press, Outside: g.Outside,
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
	ports       *devices.Ports
	supervisors []*devices.Supervisor
	byGauge     map[string]*devices.Supervisor
	presses     *station.Presses
	log         *slog.Logger
}

func newLines(c *config.Config, st *station.Station, log *slog.Logger) *lines {
	l := &lines{ports: devices.NewPorts(), byGauge: map[string]*devices.Supervisor{}, presses: station.NewPresses(st.Press, log), log: log}
	of := pressesOf(c)
	sink := func(e devices.Event) {
		if e.Press == nil {
			st.Report(station.Report{Reading: e.Reading, Reject: e.Reject, State: e.State, Count: e.Count})
		}
		if press, at, is := of.heard(e); is {
			l.presses.Hear(press, at)
		}
	}
	for _, line := range devices.ByLine(c.Gauges) {
		s := devices.NewSupervisor(line, devices.NewDialer(l.ports, line...), l.ports, sink, log)
		l.supervisors = append(l.supervisors, s)
		for _, g := range line {
			l.byGauge[g.ID] = s
		}
	}
	for _, sw := range c.Switches {
		l.supervisors = append(l.supervisors, devices.NewSwitch(sw, l.ports, sink, log))
	}
	return l
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
	for _, s := range l.supervisors {
		running.Go(func() { s.Run(ctx) })
	}
	running.Wait()
}

// ask makes a polled gauge send a reading now.
func (l *lines) ask(ctx context.Context, gaugeID string) error {
	s, ok := l.byGauge[gaugeID]
	if !ok {
		return fmt.Errorf("gauge %s has no line of this station", gaugeID)
	}
	return s.Ask(ctx, gaugeID)
}
