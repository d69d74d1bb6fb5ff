package main

import (
	"context"
	"log/slog"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

// TestPressesThatAreHeeded: one at a time, not twice by an accident of the foot,
// and a reading only where its gauge's button is for something else.
func TestPressesThatAreHeeded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := &config.Config{
			Gauges:   []devices.Gauge{{ID: "dial"}, {ID: "remote", Press: gauge.MeansNext}},
			Switches: []devices.Switch{{ID: "pedal", Gauges: []string{"dial"}}},
		}
		var mu sync.Mutex
		var done []station.Press
		p := newPressQueue(func(_ context.Context, press station.Press) error {
			mu.Lock()
			done = append(done, press)
			mu.Unlock()
			time.Sleep(2 * time.Second)
			return nil
		}, slog.New(slog.DiscardHandler))
		of := pressesOf(c)
		hear := func(e devices.Event) {
			if press, at, is := of.heard(e); is {
				p.Hear(press, at)
			}
		}
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); p.Run(ctx) }()
		defer func() { cancel(); <-ended }()
		pedal := func(means gauge.Meaning) {
			synctest.Wait()
			hear(devices.Event{Press: &devices.Press{Switch: "pedal", Time: time.Now(), Means: means}})
		}
		pedal(gauge.MeansCapture)
		time.Sleep(500 * time.Millisecond)
		pedal(gauge.MeansCapture) // the first is at work
		time.Sleep(1400 * time.Millisecond)
		pedal(gauge.MeansNext) // so it is still
		time.Sleep(200 * time.Millisecond)
		pedal(gauge.MeansNext) // too soon after the one before
		time.Sleep(5 * time.Second)
		pedal(gauge.MeansNext)
		time.Sleep(5 * time.Second)
		for _, id := range []string{"dial", "remote"} {
			synctest.Wait()
			hear(devices.Event{Reading: &gauge.Reading{Gauge: id, Time: time.Now()}})
		}
		synctest.Wait()
		mu.Lock()
		got := done
		mu.Unlock()
		if len(got) != 3 || got[0].Means != gauge.MeansCapture || got[1].Means != gauge.MeansNext || got[1].From != "pedal" || got[1].Gauges[0] != "dial" ||
			got[2].From != "remote" || got[2].Gauges[0] != "remote" {
			t.Errorf("got %+v", got)
		}
	})
}
