package main

import (
	"context"
	"log/slog"
	"time"

	"gauged/internal/config"
	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/exits/mqtt"
	"gauged/internal/exits/webhook"
	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/server/message"
	"gauged/internal/station"
)

// outside makes the exits of a station.
type outside struct {
	station string
	store   *history.Store
	from    *station.Station
	log     *slog.Logger
}

// newExits returns the exits of a configuration; Run makes them work.
func (o outside) newExits(ctx context.Context, c *config.Config) *exits.Exits {
	x := exits.New(exits.Options{Store: o.store, History: o.from, Writer: o.writer, Now: time.Now, Log: o.log})
	x.Set(ctx, o.definitions(c))
	return x
}

// writer writes the events of one exit.
func (o outside) writer() letter.Write { return message.Events(o.from, o.station, o.store.StretchOf) }

// definitions are webhooks and brokers as exits.
func (o outside) definitions(c *config.Config) (all []exits.Definition) {
	for _, h := range c.Webhooks {
		all = append(all, exits.Definition{
			ID: h.ID, Address: h.Shown(), Events: h.Events, GiveUpAfter: h.GiveUpAfter, Settings: h,
			Sender: webhook.NewSender(h, "gauged/"+version(), time.Now),
		})
	}
	for _, b := range c.Brokers {
		all = append(all, exits.Definition{
			ID: b.ID, Address: b.URL + " " + b.Topics, Events: b.Letters(), Besides: b.Besides(), GiveUpAfter: b.GiveUpAfter, Settings: b,
			Sender: mqtt.NewSender(mqtt.Options{
				Broker: b, History: o.from, Writer: o.writer, States: o.states, Log: o.log,
				Presence: func(online bool) ([]byte, error) { return message.Presence(o.station, online) },
			}),
		})
	}
	return all
}

// states are how the gauges stand, as steps without a number.
func (o outside) states() (all []gauge.Fact) {
	for _, g := range o.from.Gauges() {
		all = append(all, gauge.Fact{State: &gauge.StateChange{Gauge: g.ID, Time: g.Since, State: g.State, Reason: g.Reason}})
	}
	return all
}
