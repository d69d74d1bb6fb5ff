package main

import (
	"context"
	"log/slog"
	"time"

	"gauged/internal/config"
	"gauged/internal/exits"
	"gauged/internal/exits/webhook"
	"gauged/internal/history"
	"gauged/internal/server/message"
	"gauged/internal/station"
)

// newExits returns the exits of a configuration; Run makes them work.
func newExits(ctx context.Context, c *config.Config, store *history.Store, st *station.Station, log *slog.Logger) *exits.Exits {
	x := exits.New(exits.Options{
		Store: store, History: st, Writer: func() exits.Write { return message.Events(st, c.Station, store.StretchOf) }, Now: time.Now, Log: log,
	})
	x.Set(ctx, definitions(c.Webhooks))
	return x
}

// definitions are webhooks as exits.
func definitions(hooks []webhook.Hook) (all []exits.Definition) {
	for _, h := range hooks {
		all = append(all, exits.Definition{
			ID: h.ID, Address: h.Shown(), Events: h.Events, GiveUpAfter: h.GiveUpAfter, Settings: h,
			Sender: webhook.NewSender(h, "gauged/"+version(), time.Now),
		})
	}
	return all
}
