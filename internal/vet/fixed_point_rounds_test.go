package vet

import (
	"strings"
	"testing"
)

// TestNextRoundAsksForWhatIsIn: what a file says of the next round is tried with the
// proof between its limits. A preload that comes in twice, two places that are
// exchanged and a part that is forgotten are found on load.
func TestNextRoundAsksForWhatIsIn(t *testing.T) {
	const right = "next: {left_trial: fitted(left), right_trial: fitted(right), lash: lash_after, end_play: -preload}"
	carrierRounds := string(read(t, "../evaluate/testdata/carrier_rounds.yaml"))
	if _, err := ReadProcedure("p.yaml", []byte(carrierRounds)); err != nil {
		t.Fatal(err)
	}
	for next, want := range map[string]string{
		"next: {left_trial: fitted(left), right_trial: fitted(right), lash: lash_after, end_play: 2*preload - 2*preload}": "p.yaml:22:9: with a part at left of 2.000 mm in, and the proof between its limits, the next round would ask for 2.020 mm to 2.060 mm. It must ask for the part that is in",
		"next: {left_trial: fitted(right), right_trial: fitted(left), lash: lash_after, end_play: -preload}":              "p.yaml:22:9: with a part at left of 2.000 mm in, and the proof between its limits, the next round would ask for 2.980 mm to 3.020 mm. It must ask for the part that is in",
		"next: {left_trial: fitted(left), lash: lash_after, end_play: -preload}":                                          "p.yaml:22:9: with a part at right of 3.000 mm in, and the proof between its limits, the next round would ask for -0.020 mm to 0.020 mm. It must ask for the part that is in",
	} {
		_, err := ReadProcedure("p.yaml", []byte(strings.Replace(carrierRounds, right, next, 1)))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: got %v, want %s", next, err, want)
		}
	}
}
