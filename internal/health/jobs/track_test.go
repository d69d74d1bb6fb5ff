package jobs

import (
	"reflect"
	"testing"
	"time"
)

// TestTracksJumpWhereAdjusted: between the check and what is found later there is
// no slope; what is adjusted before anything is known changes nothing.
func TestTracksJumpWhereAdjusted(t *testing.T) {
	at := func(hours int) time.Time { return time.Date(2026, 3, 1, hours, 0, 0, 0, time.UTC) }
	found := []Point{{Time: at(0), Error: 9e-6}, {Time: at(24), Error: 10e-6}, {Time: at(34), Error: 1e-6}}
	site := Site{Tracks: []Track{{Gauge: "dial", Points: found}, {Gauge: "new", Points: found[1:]}}}
	left := Point{Time: at(24), Error: 0}
	got := tracks(site, map[string][]Point{"dial": {left}, "other": {{Time: at(1)}}, "new": {{Time: at(1)}}})
	want := map[string][]Point{"dial": {found[0], found[1], left, found[2]}, "new": found[1:]}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
