package main

import (
	"context"
	"fmt"
	"log/slog"
	"sync"

	"gauged/internal/devices"
	"gauged/internal/station"
)

// gaugeInfos tells the station what the configuration says of each gauge.
func gaugeInfos(gauges []devices.Gauge) []station.GaugeInfo {
	infos := make([]station.GaugeInfo, len(gauges))
	for i, g := range gauges {
		infos[i] = station.GaugeInfo{
			ID: g.ID, Title: g.Title, Mode: station.Mode(g.Mode), Outside: g.Outside,
			Unit: g.Unit, Resolution: g.Resolution, Ability: g.Ability, Fresh: g.SilentAfter,
		}
		switch {
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
		if g.Layout != nil {
			infos[i].Layout = g.Layout.Name
		}
	}
	return infos
}

// lines is the supervisors of the gauges that have a line of their own.
type lines struct {
	supervisors map[string]*devices.Supervisor
}

func newLines(gauges []devices.Gauge, report func(station.Report), log *slog.Logger) *lines {
	l := &lines{supervisors: map[string]*devices.Supervisor{}}
	sink := func(e devices.Event) {
		report(station.Report{Reading: e.Reading, Reject: e.Reject, State: e.State, Count: e.Count})
	}
	for _, g := range gauges {
		if !g.Outside {
			l.supervisors[g.ID] = devices.NewSupervisor(g, devices.NewDialer(g), sink, log)
		}
	}
	return l
}

// run supervises all lines until ctx ends and every port is closed.
func (l *lines) run(ctx context.Context) {
	var running sync.WaitGroup
	for _, s := range l.supervisors {
		running.Go(func() { s.Run(ctx) })
	}
	running.Wait()
}

// ask makes a polled gauge send a reading now.
func (l *lines) ask(ctx context.Context, gaugeID string) error {
	s, ok := l.supervisors[gaugeID]
	if !ok {
		return fmt.Errorf("gauge %s has no line of this station", gaugeID)
	}
	return s.Ask(ctx)
}
