package chaos_test

import "testing"

// TestManyLines gives each of two hundred gauges in one process its own trouble.
func TestManyLines(t *testing.T) {
	t.Parallel()
	everywhere := []func(*line){(*line).unplug, (*line).noise, (*line).halves, (*line).twice, (*line).stale}
	timeless := append(everywhere[:len(everywhere):len(everywhere)], (*line).floodInShort, (*line).theftWithin)
	onLines(t, 200, each(patient, bare, patient, brisk, gapped, bits), func(l *line, _ int) {
		troubles := everywhere
		if l.format.timeless() {
			troubles = timeless
		}
		for range 3 {
			troubles[l.rng.IntN(len(troubles))](l)
			l.say(l.format.frame(l.rng))
		}
	})
}
