package history_test

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

var seed = flag.Uint64("seed", 20260302, "where the random faults of the durability tests begin")

// TestPowerLoss cuts the power at a random operation and compares what comes
// back with what was acknowledged. The rows that must lose facts prove that
// the cuts bite, and what each assumption of the package is worth.
func TestPowerLoss(t *testing.T) {
	tests := []struct {
		name      string
		setting   string // SQL on the writing connection
		prepare   func(*trial)
		trials    int
		wantsLoss bool
	}{
		{name: "as shipped", trials: 200},
		{name: "synchronous normal", setting: "PRAGMA synchronous = NORMAL", trials: 40, wantsLoss: true},
		{name: "synchronous off", setting: "PRAGMA synchronous = OFF", trials: 20, wantsLoss: true},
		{name: "disk lies", prepare: func(c *trial) { c.disk.lying = true }, trials: 20, wantsLoss: true},
		{name: "directory not synced", prepare: func(c *trial) { c.syncDir = func(string) error { return nil } }, trials: 20, wantsLoss: true},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			var acked, lost, damaged, cuts int
			for n := range test.trials {
				c := newTrial(t, test.setting, rand.New(rand.NewPCG(*seed, uint64(n))))
				if test.prepare != nil {
					test.prepare(c)
				}
				result, err := c.run()
				acked, lost, cuts = acked+result.acked, lost+result.lost, cuts+result.cuts
				if err != nil {
					damaged++
				}
				if !test.wantsLoss && (err != nil || result.lost > 0) {
					t.Fatalf("trial %d of -seed %d, power cut at operation %d: lost %d of %d acknowledged facts; %v",
						n, *seed, c.cut, result.lost, result.acked, err)
				}
			}
			t.Logf("-seed %d: %d cuts in %d trials, %d facts acknowledged, %d lost, %d files damaged",
				*seed, cuts, test.trials, acked, lost, damaged)
			if cuts < test.trials || acked == 0 {
				t.Errorf("only %d cuts in %d trials, %d facts acknowledged", cuts, test.trials, acked)
			}
			if test.wantsLoss && lost == 0 {
				t.Error("nothing was lost: the power cuts do not bite")
			}
		})
	}
}

// trial is one history on one disk whose power will be cut.
type trial struct {
	t       *testing.T
	rng     *rand.Rand
	disk    *disk
	syncDir func(string) error
	path    string
	setting string
	cut     int          // operation that the power cut meets
	facts   []gauge.Fact // all that were handed to Append
	acked   int          // how many of them were acknowledged
}

type outcome struct{ acked, lost, cuts int }

func newTrial(t *testing.T, setting string, rng *rand.Rand) *trial {
	d := newDisk(t)
	return &trial{
		t: t, rng: rng, disk: d, syncDir: d.syncDir, setting: setting,
		path: filepath.Join(d.shared, "history.db"),
	}
}

// run returns an error when the file is damaged: it does not open, its check
// fails, or it holds part of a batch or something that was never written.
func (c *trial) run() (outcome, error) {
	result := outcome{cuts: 1}
	c.cut = 1 + c.rng.IntN(700)
	c.disk.inject(c.disk.cutAt(c.cut))
	c.work()
	result.acked = c.acked
	if !c.disk.dead { // the work took fewer operations: cut the power now
		c.disk.dead = true
	}
	c.disk.restart(c.rng)
	if c.rng.IntN(3) == 0 { // and again while the history recovers
		result.cuts++
		c.disk.inject(c.disk.cutAt(c.disk.operations() + c.rng.IntN(60)))
		c.reopen(func(*history.Store) error { return nil })
		c.disk.restart(c.rng)
	}
	err := c.reopen(func(s *history.Store) error {
		ctx := context.Background()
		if err := s.Check(ctx); err != nil {
			return err
		}
		found, err := s.Facts(ctx, 0, history.MaxPage)
		result.lost = max(0, c.acked-len(found))
		if err != nil {
			return err
		}
		return c.compare(found)
	})
	if err != nil {
		result.lost = c.acked
	}
	return result, err
}

// compare returns an error unless found is a beginning of the facts that ends
// with a whole batch.
func (c *trial) compare(found []gauge.Fact) error {
	if len(found) > len(c.facts) {
		return fmt.Errorf("%d facts came back, %d were written", len(found), len(c.facts))
	}
	if len(found) > c.acked && len(found) < len(c.facts) {
		return fmt.Errorf("%d facts came back, part of the batch from %d to %d", len(found), c.acked+1, len(c.facts))
	}
	if diff := cmp.Diff(c.facts[:len(found)], found); len(found) > 0 && diff != "" {
		return fmt.Errorf("facts came back changed: %s", diff)
	}
	return nil
}

// work appends batches until an Append fails. Checkpoints are frequent.
func (c *trial) work() {
	c.reopen(func(s *history.Store) error {
		if err := s.ExecWriter("PRAGMA wal_autocheckpoint = 8;" + c.setting); err != nil {
			return err
		}
		for range 40 {
			batch := readings(uint64(len(c.facts)), 1+c.rng.IntN(8))
			for _, f := range batch {
				f.Reading.Raw = make([]byte, c.rng.IntN(700))
			}
			c.facts = append(c.facts, batch...)
			if err := s.Append(context.Background(), batch); err != nil {
				return err
			}
			c.acked = len(c.facts)
		}
		return nil
	})
}

// reopen opens the history, uses it and closes it. A Close that the power cut
// meets fails too; what matters is what comes back.
func (c *trial) reopen(use func(*history.Store) error) error {
	s, err := history.OpenOn(context.Background(), c.path, c.disk.name, c.syncDir)
	if err != nil {
		return err
	}
	err = use(s)
	_ = s.Close()
	return err
}
