package history_test

import (
	"flag"
	"math/rand/v2"
	"testing"

	"gauged/internal/gauge"
)

var faults = flag.Int("faults", 400, "how many faults TestFaults injects")

// faultKinds are the faults that TestFaults injects, each with its share of a thousand.
var faultKinds = []struct {
	name   string
	share  int
	inject func(*campaign)
}{
	{"power cut", 350, func(c *campaign) { c.live((*life).cutPower) }},
	{"input/output error once", 250, func(c *campaign) { c.live((*life).failOnce) }},
	{"input/output errors until the disk is mended", 120, func(c *campaign) { c.live((*life).failOn) }},
	{"disk full until there is room", 120, func(c *campaign) { c.live((*life).fill) }},
	{"damaged fact", 60, damageFacts},
	{"flipped bit", 60, flipBits},
	{"file moved, replaced or linked", 30, moveFiles},
	{"process killed", 10, killProcesses},
}

// TestFaults injects faults of each kind and looks after every one whether each reading that
// was acknowledged is there once, unchanged and in its place, whether what was not
// acknowledged is there whole or not at all, and whether damage is found. -faults says how
// many, -seed draws the same ones again.
func TestFaults(t *testing.T) {
	for i, kind := range faultKinds {
		t.Run(kind.name, func(t *testing.T) {
			if kind.name != "process killed" { // a process that is being started holds the files of this one for a moment, locks too
				t.Parallel()
			}
			c := &campaign{t: t, kind: uint64(i), want: max(1, *faults*kind.share/1000/slowness)}
			for c.faults < c.want && !t.Failed() {
				c.lives++
				c.rng = rand.New(rand.NewPCG(*seed, c.kind<<32+c.lives))
				kind.inject(c)
			}
			t.Logf("-seed %d: %d faults in the lives of %d histories, %d readings acknowledged, %d batches refused, %d found again unacknowledged: 0 lost, 0 doubled",
				*seed, c.faults, c.lives, c.acknowledged, c.refused, c.unacknowledged)
		})
	}
}

// campaign injects faults of one kind into one history after the other, and counts. It ends
// with the first that costs or doubles a reading.
type campaign struct {
	t     *testing.T
	kind  uint64
	lives uint64 // of histories, each with random numbers of its own
	rng   *rand.Rand
	want  int

	faults         int // that struck
	acknowledged   int // readings
	refused        int // batches
	unacknowledged int // batches that a cut met after they were durable
}

// more says whether a history with so many facts is to have another fault: a long one is slow to compare.
func (c *campaign) more(kept []gauge.Fact) bool { return c.faults < c.want && len(kept) < 300 }

func (c *campaign) fatalf(format string, args ...any) {
	c.t.Helper()
	c.t.Fatalf("-seed %d, history %d, after %d faults: "+format, append([]any{*seed, c.lives, c.faults}, args...)...)
}

func (c *campaign) must(err error) {
	c.t.Helper()
	if err != nil {
		c.fatalf("%v", err)
	}
}

// same holds what was found against what was acknowledged.
func (c *campaign) same(when string, kept, found []gauge.Fact) {
	c.t.Helper()
	if diff := differ(kept, found); diff != "" {
		c.fatalf("%s: %s", when, diff)
	}
}

// batch draws readings that continue a history: of a gauge at its line, and of a sender that
// numbers what it sends.
func (c *campaign) batch(kept []gauge.Fact) []gauge.Fact {
	seq, own, far := uint64(len(kept)), uint64(0), sentOf(kept)
	own = seq - far
	batch := make([]gauge.Fact, 1+c.rng.IntN(6))
	for i := range batch {
		seq++
		if c.rng.IntN(2) == 0 {
			far++
			batch[i] = reading(seq, "far", far)
			batch[i].Reading.Source, batch[i].Reading.SourceSeq = "sender", far
		} else {
			own++
			batch[i] = reading(seq, "bench", own)
		}
		batch[i].Reading.Raw = make([]byte, c.rng.IntN(300))
		if len(batch[i].Reading.Raw) == 0 {
			batch[i].Reading.Raw = nil
		}
	}
	return batch
}

// sentOf is how many of the facts are the sender's.
func sentOf(facts []gauge.Fact) (n uint64) {
	for _, f := range facts {
		n += min(1, f.Reading.SourceSeq)
	}
	return n
}
