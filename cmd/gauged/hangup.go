package main

import (
	"context"
	"log/slog"
	"os"
	"os/signal"
	"syscall"

	"gauged/internal/shelf"
	"gauged/internal/words"
)

// reloadAtHangup reads the procedures and part families again at each SIGHUP, as a
// service manager asks for it. Files with problems change nothing, and the log says so.
// It takes the signal from now on, and returns what waits for it.
func reloadAtHangup(files *shelf.Shelf, log *slog.Logger) func(context.Context) {
	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, syscall.SIGHUP)
	return func(ctx context.Context) {
		defer signal.Stop(hangup)
		reload(ctx, hangup, files, log)
	}
}

func reload(ctx context.Context, hangup <-chan os.Signal, files *shelf.Shelf, log *slog.Logger) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-hangup:
		}
		changed, err := files.Reload(ctx)
		if err != nil {
			log.Error("SIGHUP: nothing was put in force", "err", words.In(words.English).Error(err))
			continue
		}
		log.Info("SIGHUP: procedures and parts were read again", "changed", len(changed))
	}
}
