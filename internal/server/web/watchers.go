package web

import (
	"errors"
	"slices"
	"sync"

	"google.golang.org/grpc"
)

// perWatchConn is how many streams share a connection to the calls, which has a hundred places
// at most. None of them holds up another: each has a window of its own.
const perWatchConn = mostStreams / 4

// watchers are the connections of streams, so that those who watch take no call's place, and
// a hundred of them not the memory of a hundred connections.
type watchers struct {
	mu    sync.Mutex
	conns []*grpc.ClientConn
	open  []int // streams on each
}

func newWatchers(inside func(...grpc.DialOption) (*grpc.ClientConn, error)) (*watchers, error) {
	w := &watchers{}
	for range mostStreams / perWatchConn {
		conn, err := inside()
		if err != nil {
			return nil, errors.Join(err, w.close())
		}
		w.conns, w.open = append(w.conns, conn), append(w.open, 0)
	}
	return w, nil
}

// take is the connection that has the fewest streams, until leave.
func (w *watchers) take() (conn *grpc.ClientConn, leave func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	i := slices.Index(w.open, slices.Min(w.open))
	w.open[i]++
	return w.conns[i], func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.open[i]--
	}
}

func (w *watchers) close() (err error) {
	for _, conn := range w.conns {
		err = errors.Join(err, conn.Close())
	}
	return err
}
