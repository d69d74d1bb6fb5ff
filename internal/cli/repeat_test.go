package cli

import (
	"context"
	"log/slog"
	"net"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/server"
	"gauged/internal/station"
)

// cutListener breaks off its connections when it is told to.
type cutListener struct {
	net.Listener
	mu    sync.Mutex
	conns []net.Conn
}

func (l *cutListener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err == nil {
		l.mu.Lock()
		l.conns = append(l.conns, c)
		l.mu.Unlock()
	}
	return c, err
}

func (l *cutListener) cut() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, c := range l.conns {
		_ = c.Close()
	}
	l.conns = nil
}

// TestLostAnswer: the connection breaks after a command has been stored and before its
// answer is sent. The command is sent again by itself, and stored once.
func TestLostAnswer(t *testing.T) {
	files, err := library.New(context.Background().Err, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	socket := socketPath(t)
	unix, err := access.ListenUnix(socket)
	if err != nil {
		t.Fatal(err)
	}
	l := &cutListener{Listener: unix}
	var lose atomic.Int32
	st, err := station.New(t.Context(), station.Options{
		Store: historytest.OpenAt(t, filepath.Join(t.TempDir(), "history.db")), Library: files, Now: time.Now,
		Gauges: []station.GaugeInfo{{ID: "dial", Mode: gauge.ModeTyped, Unit: gauge.Millimetre}},
		OnCommit: func(time.Duration, int, error) {
			if lose.Add(-1) >= 0 {
				l.cut()
			}
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	s := server.New(server.Options{Station: st, Guard: &access.Guard{Rules: access.Rules{Open: true}}, Log: slog.New(slog.DiscardHandler)})
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { st.Run(ctx) })
	running.Go(func() { _ = s.Serve(l) })
	t.Cleanup(func() {
		ending, stop := context.WithTimeout(context.Background(), 3*time.Second)
		defer stop()
		_ = s.Shutdown(ending)
		cancel()
		running.Wait()
	})
	before := st.Newest()
	lose.Store(1)
	code, stdout, stderr := call(t, socket, "", "master", "standing", "dial", "suspect", "--by", "quality", "--reason", "fell down")
	if code != app.ExitFine || !strings.Contains(stdout, "dial is suspect") || lose.Load() != 0 {
		t.Errorf("exit %d\n%s\n%s", code, stdout, stderr)
	}
	h, err := st.Health("dial")
	if err != nil || h.Standing != health.Suspect || len(h.Standings()) != 1 || st.Newest() != before+1 {
		t.Errorf("entries %d to %d, %v, %v", before+1, st.Newest(), h.Standings(), err)
	}
}
