package history_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"gauged/internal/history"
)

// TestFlippedBits flips one bit of a history in each run, anywhere in the file. A check of
// the file finds it, or all facts are what they were: it lay where nothing is stored.
// GAUGED_FLIPPED_BITS says how often.
func TestFlippedBits(t *testing.T) {
	flips := runs("GAUGED_FLIPPED_BITS", 60)
	whole := chained(t)
	content, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	s := openPlain(t, whole)
	want, err := s.Facts(t.Context(), 0, history.MaxPage)
	if err != nil {
		t.Fatal(err)
	}
	closeStore(t, s)
	rng := rand.New(rand.NewPCG(15, 13))
	path := filepath.Join(t.TempDir(), "flipped.db")
	found, harmless := 0, 0
	for range flips {
		at, bit := rng.IntN(len(content)), rng.IntN(8)
		content[at] ^= 1 << bit
		err := os.WriteFile(path, content, 0o600)
		content[at] ^= 1 << bit
		if err != nil {
			t.Fatal(err)
		}
		if v, err := history.CheckFile(t.Context(), path); err != nil || v.Difference != nil {
			found++
			continue
		}
		s, err := history.Open(t.Context(), path)
		if err != nil {
			found++
			continue
		}
		facts, err := s.Facts(t.Context(), 0, history.MaxPage)
		if diff := differ(want, facts); err != nil || diff != "" {
			t.Errorf("bit %d of byte %d: no check finds it, and %v %s", bit, at, err, diff)
		}
		harmless++
		closeStore(t, s)
	}
	t.Logf("%d bits: %d found, %d harmless", flips, found, harmless)
	if found == 0 {
		t.Error("none was found: this test flips nothing that is stored")
	}
}
