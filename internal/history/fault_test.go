package history_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// TestDiskFault fails every operation of a run in turn. An Append that returns
// an error must leave nothing, the same facts must go in afterwards, and in the
// end everything must survive a power cut, although a failed sync forgets what
// it should have written.
func TestDiskFault(t *testing.T) {
	tests := []struct {
		name  string
		fault func(at int) func(operation) error
	}{
		{"input/output error once", func(at int) func(operation) error {
			return func(op operation) error {
				if op.number == at {
					return sqlite3.IOERR
				}
				return nil
			}
		}},
		{"input/output error from then on", func(at int) func(operation) error {
			return func(op operation) error {
				if op.number >= at {
					return sqlite3.IOERR
				}
				return nil
			}
		}},
		{"disk full from then on", func(at int) func(operation) error {
			return func(op operation) error {
				if op.number >= at && op.kind == "write" {
					return sqlite3.FULL
				}
				return nil
			}
		}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			whole := &faultRun{t: t, disk: newDisk(t)}
			whole.run(func(operation) error { return nil })
			last := whole.disk.operations()
			if whole.failed > 0 || last < 50 {
				t.Fatalf("without a fault %d calls failed in %d operations", whole.failed, last)
			}
			failed := 0
			for at := 1; at <= last; at += slowness {
				r := &faultRun{t: t, disk: newDisk(t), at: at}
				r.run(test.fault(at))
				failed += r.failed
			}
			t.Logf("%d operations, %d calls failed", last, failed)
			if failed < last/(4*slowness) {
				t.Errorf("only %d calls failed in %d runs: the faults do not bite", failed, last/slowness)
			}
		})
	}
}

// faultRun is one history on one disk that fails at an operation.
type faultRun struct {
	t      *testing.T
	disk   *disk
	at     int
	store  *history.Store
	want   []gauge.Fact
	failed int // calls that returned an error
}

func (r *faultRun) run(fault func(operation) error) {
	r.t.Helper()
	r.disk.inject(fault)
	r.open()
	if err := r.store.ExecWriter("PRAGMA wal_autocheckpoint = 4"); err != nil {
		r.t.Fatal(err)
	}
	for range 4 {
		r.append(readings(uint64(len(r.want)), 5))
	}
	if err := r.store.Close(); err != nil {
		r.failed++
	}
	r.disk.restart(rand.New(rand.NewPCG(*seed, uint64(r.at)))) // the power goes off and on, the disk works again
	r.open()
	r.expect("after the power cut", r.want)
	if err := r.store.Check(context.Background()); err != nil {
		r.t.Fatalf("fault at operation %d: %v", r.at, err)
	}
	if err := r.store.Close(); err != nil {
		r.t.Fatal(err)
	}
}

// open opens the history, a second time when the fault met the first.
func (r *faultRun) open() {
	r.t.Helper()
	for {
		// A cancelled context keeps the creation of the schema from trying again for seconds.
		ctx, cancel := context.WithCancel(context.Background())
		s, err := r.openOnce(ctx, cancel)
		cancel()
		if err == nil {
			r.store = s
			return
		}
		if r.failed++; r.failed > 1 {
			r.t.Fatalf("fault at operation %d: open again: %v", r.at, err)
		}
		r.disk.inject(nil)
	}
}

func (r *faultRun) openOnce(ctx context.Context, cancel func()) (*history.Store, error) {
	if fault := r.disk.fault; fault != nil {
		r.disk.inject(func(op operation) error {
			err := fault(op)
			if err != nil {
				cancel()
			}
			return err
		})
	}
	return history.OpenOn(ctx, filepath.Join(r.disk.shared, "history.db"), r.disk.name, r.disk.syncDir)
}

// append appends a batch, a second time when the fault met the first.
func (r *faultRun) append(batch []gauge.Fact) {
	r.t.Helper()
	err := r.store.Append(context.Background(), batch)
	if err != nil {
		r.failed++
		if got := r.store.LastSeq(); got != uint64(len(r.want)) {
			r.t.Fatalf("fault at operation %d: LastSeq is %d after a failed Append, was %d", r.at, got, len(r.want))
		}
		r.disk.inject(nil)
		r.expect("after a failed Append", r.want)
		if err := r.store.Append(context.Background(), batch); err != nil {
			r.t.Fatalf("fault at operation %d: append again: %v", r.at, err)
		}
	}
	r.want = append(r.want, batch...)
	found, err := r.store.Facts(context.Background(), 0, history.MaxPage)
	if err != nil { // the fault met the read
		r.failed++
		r.disk.inject(nil)
		r.expect("after a failed read", r.want)
		return
	}
	r.compare("after Append", r.want, found)
}

func (r *faultRun) expect(when string, want []gauge.Fact) {
	r.t.Helper()
	found, err := r.store.Facts(context.Background(), 0, history.MaxPage)
	if err != nil {
		r.t.Fatalf("fault at operation %d, %s: %v", r.at, when, err)
	}
	r.compare(when, want, found)
}

func (r *faultRun) compare(when string, want, found []gauge.Fact) {
	r.t.Helper()
	if diff := differ(want, found); diff != "" {
		r.t.Fatalf("fault at operation %d, %s: %s", r.at, when, diff)
	}
}

// TestDiskFullSaysSo appends to a full disk.
func TestDiskFullSaysSo(t *testing.T) {
	d := newDisk(t)
	s, err := history.OpenOn(t.Context(), filepath.Join(d.shared, "history.db"), d.name, d.syncDir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	d.inject(func(op operation) error {
		if op.kind == "write" {
			return sqlite3.FULL
		}
		return nil
	})
	err = s.Append(t.Context(), readings(0, 2))
	if !errors.Is(err, sqlite3.FULL) {
		t.Fatalf("Append = %v, want disk full", err)
	}
	if want := "append facts 1 to 2 to history: sqlite3: database or disk is full"; err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if told := gauge.Told(err); !errors.Is(err, gauge.ErrStopped) || told.Code != "refusal.history.not-stored" {
		t.Errorf("who sent it is told %s, which is no call to try again", told)
	}
	d.inject(nil)
	if err := s.Append(t.Context(), readings(0, 2)); err != nil {
		t.Errorf("after space was made: %v", err)
	}
}
