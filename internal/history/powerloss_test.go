package history_test

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

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
		prepare   func(*disk)
		wantsLoss bool
	}{
		{name: "as shipped"},
		{name: "synchronous normal", setting: "PRAGMA synchronous = NORMAL", wantsLoss: true},
		{name: "synchronous off", setting: "PRAGMA synchronous = OFF", wantsLoss: true},
		{name: "disk lies", prepare: func(d *disk) { d.lying = true }, wantsLoss: true},
		{name: "directory not synced", prepare: func(d *disk) { d.loose = true }, wantsLoss: true},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			var trials, acked, lost, cuts int
			most := 200
			if !test.wantsLoss {
				most /= slowness
			}
			for trials < most && !(test.wantsLoss && lost > 0) {
				c := newTrial(t, test.setting, rand.New(rand.NewPCG(*seed, uint64(trials))))
				if test.prepare != nil {
					test.prepare(c.disk)
				}
				result, err := c.run()
				if !test.wantsLoss && (err != nil || result.lost > 0) {
					t.Fatalf("trial %d of -seed %d, power cut at operation %d: lost %d of %d acknowledged facts; %v",
						trials, *seed, c.cut, result.lost, result.acked, err)
				}
				trials, acked, lost, cuts = trials+1, acked+result.acked, lost+result.lost, cuts+result.cuts
			}
			t.Logf("-seed %d: %d power cuts in %d trials, %d facts acknowledged, %d lost", *seed, cuts, trials, acked, lost)
			if acked == 0 || cuts < trials {
				t.Error("the trial did not acknowledge anything or did not cut the power")
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
		t: t, rng: rng, disk: d, setting: setting,
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
	if diff := differ(c.facts[:len(found)], found); diff != "" {
		return fmt.Errorf("a fact came back changed: %s", diff)
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
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	c.disk.onCut = cancel // else the creation of the schema tries again for seconds
	s, err := history.OpenOn(ctx, c.path, c.disk.name, c.disk.syncDir)
	if err != nil {
		return err
	}
	err = use(s)
	_ = s.Close()
	return err
}
