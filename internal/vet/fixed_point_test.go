package vet

import (
	"strings"
	"testing"

	"gauged/internal/evaluate"
)

// TestFixedPoint: a sum that asks for more with the wanted part in is refused
// until a measurement says how it stands with the play.
func TestFixedPoint(t *testing.T) {
	refused := "with the wanted part in, no play is left to be felt; this sum then asks for a thicker part again, and a preload would be put in twice. Say of %s what it is, with play: must be felt for a play, play: just taken up for parts that only take the play up, play: no for what is neither"
	const measures = "measure: {shim: {title: s}, depth: {title: d}, end_play: {title: e}, lash: {title: l}, drag: {title: d, unit: N m}}\n" +
		"constants: {pre: 0.05, gasket: 0.30, stiff: {value: 2, unit: N m}, hundredth: 0.01}\n"
	fit := func(a, b string) string {
		return "fit:\n  a: {thickness: " + a + ", part: made to size}\n  b: {thickness: " + b + ", part: made to size}"
	}
	cases := []struct{ name, lines, at, names string }{
		{"preload on a play", "thickness: shim + end_play + pre\npart: made to size", "6:12", "shim, end_play"},
		{"preload on a play by allow", "gap: shim + end_play\nallow: {preload: {min: 0.01, max: 0.03}}\npart: made to size\nchoose: {method: middle}", "6:6", "shim, end_play"},
		{"preload stated as an aim", "gap: shim + end_play\nallow: {preload: {min: 0, max: 0.03}}\npart: made to size\nchoose: {aim: {preload: 0.01}}", "6:6", "shim, end_play"},
		{"least preload nought and aimed at", "gap: shim + end_play\nallow: {preload: {min: 0, max: 0.03}}\npart: made to size\nchoose: {aim: {preload: 0}}", "", ""},
		{"play, not preload", "gap: shim + end_play\nallow: {play: {min: 0.01, max: 0.03}}\npart: made to size\nchoose: {method: middle}", "", ""},
		{"through values", "values: {zero: shim + end_play, want: zero + pre/2}\nthickness: want\npart: made to size", "7:12", "shim, end_play"},
		{"two depths", "thickness: depth - shim + gasket + pre\npart: made to size", "", ""},
		{"the gap alone", "gap: depth\nallow: {preload: {min: 0.01, max: 0.03}}\npart: made to size\nchoose: {method: middle}", "", ""},
		{"by torque", "thickness: shim - (stiff - drag)/stiff*hundredth\npart: made to size", "", ""},
		{"both sides share the play", fit("shim + (end_play + pre)/2 + lash - 0.2", "depth + (end_play + pre)/2 - lash + 0.2"), "7:18", "shim, depth, end_play"},
		{"both sides without a preload", fit("shim + end_play/2 + lash", "depth + end_play/2 - lash"), "", ""},
		{"two sides apart", fit("shim + pre", "depth + pre"), "", ""},
		{"bent by a floor", "thickness: largest(shim + end_play + pre, 1.00)\npart: made to size", "6:12", "shim, end_play"},
		{"through a table in straight lines", "tables:\n  chart: {mode: interpolate, by: {end_play: mm}, rows: {0: 0.08, 1: 1.08}}\nthickness: shim + chart(end_play)\npart: made to size", "8:12", "shim, end_play"},
		{"two depths with a floor", "thickness: largest(depth - shim + pre, 1.00)\npart: made to size", "", ""},
		{"no straight sum", "thickness: shim*end_play/depth + pre\npart: made to size", "", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			content := "procedure: p\ntitle: t\nunit: mm\n" + measures + c.lines + "\n"
			_, err := ReadProcedure("p.yaml", []byte(content))
			if c.at == "" {
				if err != nil {
					t.Error(err)
				}
				return
			}
			if want := "p.yaml:" + c.at + ": " + strings.Replace(refused, "%s", c.names, 1); err == nil || err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
			if _, err := evaluate.ReadStoredProcedure("p.yaml", []byte(content)); err != nil {
				t.Errorf("a version of a job that was begun is refused: %v", err)
			}
			for _, remedy := range []string{"play: must be felt", "play: {least: 0.02}", "plausible: {min: 0.02}"} {
				said := strings.Replace(content, "title: e}", "title: e, "+remedy+"}", 1)
				_, err := ReadProcedure("p.yaml", []byte(said))
				if answered := !strings.HasPrefix(remedy, "plausible"); answered != (err == nil) {
					t.Errorf("%s: %v", remedy, err) // plausible of one reading leaves the others open
				}
			}
			all := strings.NewReplacer("title: e}", "title: e, plausible: {min: 0.02}}", "title: s}", "title: s, play: no}", "title: d}", "title: d, play: no}").Replace(content)
			if _, err := ReadProcedure("p.yaml", []byte(all)); err != nil {
				t.Errorf("every reading answered for: %v", err)
			}
		})
	}
}

// TestDifferenceOfReadingsIsAPlay: a play that is the difference of two readings
// is none when both are the same; the loader asks what it is, and a value says.
func TestDifferenceOfReadingsIsAPlay(t *testing.T) {
	const head = "procedure: p\ntitle: t\nunit: mm\ninstruments: {dial: {resolution: 0.01}}\n" +
		"measure: {pushed: {title: in, instrument: dial}, pulled: {title: out, instrument: dial}, trial: {title: shim}}\nconstants: {pre: 0.08}\n"
	refused := func(at string) string {
		return "p.yaml:" + at + ": with the wanted part in, no play is left to be felt; two readings that are taken off each other are then the same; this sum asks for a thicker part again, and a preload would be put in twice. Say of pushed, pulled, trial what it is; where two of them make a play, name their difference under values and say there play: must be felt or play: just taken up; play: no for what is neither"
	}
	for lines, at := range map[string]string{
		"thickness: trial + pulled - pushed + pre\npart: made to size":                                                           "7:12",
		"values: {ep: pulled - pushed}\nthickness: trial + ep + pre\npart: made to size":                                         "8:12",
		"gap: trial + pulled - pushed\nallow: {preload: {min: 0.05, max: 0.10}}\nchoose: {method: middle}\npart: made to size":   "7:6",
		"thickness: largest(trial + pulled - pushed + pre, 1)\npart: made to size":                                               "7:12",
		"fit:\n  l: {thickness: trial + (pulled - pushed + pre)/2, part: made to size}\n  r: {thickness: 1, part: made to size}": "8:18",
	} {
		_, err := ReadProcedure("p.yaml", []byte(head+lines+"\n"))
		if want := refused(at); err == nil || err.Error() != want {
			t.Errorf("got\n%v\nwant\n%s", err, want)
		}
	}
	for lines, fine := range map[string]bool{
		"thickness: pulled - pushed + pre": true, // a depth and a height: what is wanted does not depend on what is in
		"values: {ep: {value: pulled - pushed, play: must be felt}}\nthickness: trial + ep + pre":                true,
		"values: {ep: {value: pulled - pushed, play: just taken up}}\nthickness: trial + ep + pre":               true,
		"values: {ep: {value: pulled - pushed, play: no}}\nthickness: trial + ep + pre":                          false, // trial is still open
		"values: {ep: {value: pulled - pushed + trial, play: no}}\nthickness: ep + pre":                          true,
		"values: {ep: {value: pulled - pushed, play: {least: 0.02}}}\nthickness: trial + ep + pre":               true,
		"values: {ep: {value: (pulled - pushed)*trial/trial/trial, play: must be felt}}\nthickness: trial + pre": false, // a number is no play
	} {
		if _, err := ReadProcedure("p.yaml", []byte(head+lines+"\npart: made to size\n")); (err == nil) != fine {
			t.Errorf("%s: %v", lines, err)
		}
	}
}
