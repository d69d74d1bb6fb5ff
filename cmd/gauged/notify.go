package main

import (
	"context"
	"log/slog"
	"time"

	systemd "github.com/coreos/go-systemd/v22/daemon"
)

const (
	ready    = systemd.SdNotifyReady
	stopping = systemd.SdNotifyStopping
)

// notify tells the service manager, if one is listening.
func notify(log *slog.Logger, state string) {
	if _, err := systemd.SdNotify(false, state); err != nil {
		log.Warn("the service manager was not told", "state", state, "err", err)
	}
}

// watchdog tells the service manager that the daemon is alive, at half the
// interval that it asks for, until ctx ends.
func watchdog(ctx context.Context, log *slog.Logger) {
	interval, err := systemd.SdWatchdogEnabled(false)
	if err != nil || interval == 0 {
		return
	}
	tick := time.NewTicker(interval / 2)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			notify(log, systemd.SdNotifyWatchdog)
		case <-ctx.Done():
			return
		}
	}
}
