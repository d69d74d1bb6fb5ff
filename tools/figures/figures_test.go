package main

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// TestPromises: the quick part of every simulation keeps what is promised, and
// docs/figures.md has every claim with its promise.
func TestPromises(t *testing.T) {
	document, err := os.ReadFile("../../docs/figures.md")
	if err != nil {
		t.Fatal(err)
	}
	if len(subjects) == 0 {
		t.Fatal("there are no subjects")
	}
	names := map[string]bool{}
	for _, s := range sorted() {
		t.Run(s.name, func(t *testing.T) {
			if names[s.name] {
				t.Error("the name is there twice")
			}
			names[s.name] = true
			rows := s.run(true)
			if len(rows) == 0 {
				t.Fatal("the subject has no figures")
			}
			section := strings.SplitN(s.section(rows), "| claim |", 2)[0]
			if !strings.Contains(string(document), section) {
				t.Error("docs/figures.md has no such section, or another text: run make figures")
			}
			for _, r := range rows {
				t.Logf("%s: %s (promised %s)", r.what, r.found, r.promise)
				if r.what == "" || r.promise == "" || r.source == "" || r.low > r.high {
					t.Errorf("%+v does not say what is promised, or by what it is shown", r)
				}
				if !r.kept() {
					t.Errorf("%s: %s, promised %s", r.what, r.found, r.promise)
				}
				if !strings.Contains(string(document), "| "+r.what+" | "+r.promise+" |") {
					t.Errorf("docs/figures.md does not have %q with %q: run make figures", r.what, r.promise)
				}
			}
		})
	}
}

// TestDrawsAreTheSame: the numbers depend on the seed, not on the machine.
func TestDrawsAreTheSame(t *testing.T) {
	one := func(random *rand.Rand) uint64 { return random.Uint64() }
	a, b := draws(100, 1, one), draws(100, 1, one)
	seen := map[uint64]bool{}
	for i := range a {
		if a[i] != b[i] {
			t.Fatalf("run %d gave %d, then %d", i, a[i], b[i])
		}
		seen[a[i]] = true
	}
	if len(seen) != 100 {
		t.Errorf("%d different numbers in 100 runs", len(seen))
	}
}

// TestKept: a promise is broken by what chance does not explain.
func TestKept(t *testing.T) {
	for _, c := range []struct {
		hits int
		want bool
	}{{940, true}, {910, false}, {990, false}, {960, true}} {
		r := row{low: 0.94, high: 0.96, found: share(c.hits, 1000)}
		if r.kept() != c.want {
			t.Errorf("%d of 1000 kept: %v", c.hits, r.kept())
		}
	}
	if m := mean([]float64{1, 2, 3}); m.value != 2 || m.runs != 3 || m.standardError < 0.577 || m.standardError > 0.578 {
		t.Errorf("%+v", m)
	}
}
