package cli

import (
	"context"
	"strings"
	"testing"
	"time"

	"gauged/internal/job"
	"gauged/internal/library"
)

// Both places make one sum; invented.
const twoSides = `procedure: sides
title: Shims on both sides
unit: mm
measure:
  l: {title: left}
  r: {title: right}
fit:
  left: {thickness: l, parts: shims}
  right: {thickness: r, parts: shims}
together: {first: total, within: 0.02}
verify:
  measure: {lash: {title: backlash}}
  judge: {lash: {min: 0.10, max: 0.20}}
`

const twoSidesShims = `family: shims
title: Shims
unit: mm
grades:
  - {part: S150, mark: green, thickness: 1.50}
  - {part: S155, mark: red, thickness: 1.55}
  - {part: S160, mark: blue, thickness: 1.60}
`

// led is a job of both sides that is led through with lines typed.
func led(t *testing.T, lines ...string) (b *studyBench, stdout string) {
	t.Helper()
	file := func(path, content string) []library.Source {
		return []library.Source{{Path: path, Content: []byte(content)}}
	}
	library, err := library.New(context.Background().Err, file("sides.yaml", twoSides), file("shims.yaml", twoSidesShims))
	if err != nil {
		t.Fatal(err)
	}
	b = newBenchWith(t, library, time.Now)
	_, stdout, _ = call(t, b.socket, strings.Join(lines, "\n")+"\n", "job", "run", "sides", "--unit-serial", "U-1", "--by", "tech")
	return b, stdout
}

func (b *studyBench) fitted() (parts []string) {
	b.t.Helper()
	j, err := b.Job(b.t.Context(), 1)
	if err != nil {
		b.t.Fatal(err)
	}
	for _, f := range j.Evaluation.EachFit() {
		text := f.Place + " open"
		if f.Fitted != nil {
			text = f.Place + " " + f.Fitted.Part
		}
		parts = append(parts, text)
	}
	return parts
}

// TestEachPlaceIsAsked: the part at each of several places is asked for, by its
// place, and what was said of one is not recorded for the other.
func TestEachPlaceIsAsked(t *testing.T) {
	b, out := led(t, "", "1.52 mm", "1.53 mm", "", "S150", "1.498 mm", "S155", "1.55 mm", "0.15 mm", "", "")
	for _, want := range []string{"Which part was fitted at left?", "Measured thickness of S150 at left", "Which part was fitted at right?", "Measured thickness of S155 at right"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not asked:\n%s", want, out)
		}
	}
	if got := strings.Join(b.fitted(), ", "); got != "left S150, right S155" {
		t.Error(got)
	}
}

// TestSettledAnew: after another part than the settled one was fitted at one place,
// the part of the other is settled anew.
func TestSettledAnew(t *testing.T) {
	b, out := led(t, "", "1.52 mm", "1.53 mm", "", "S155", "", "y")
	if !strings.Contains(out, "Enter = choose") || strings.Contains(out, "Fit S155 (red, 1.550 mm) at right") {
		t.Error(out)
	}
	j, err := b.Job(t.Context(), 1)
	if err != nil || j.Stage != job.StageChoose || j.Chosen["right"] != "" {
		t.Errorf("%s, settled %v, %v", j.Stage, j.Chosen, err)
	}
	if replay, err := b.ReplayVerdicts(t.Context(), 0); err != nil || replay.Verdicts == 0 || len(replay.Differences) > 0 {
		t.Errorf("%+v, %v", replay, err)
	}
}

// TestMarkIsThePart: what is marked on a part names it, and what is neither a part
// nor a mark is asked back.
func TestMarkIsThePart(t *testing.T) {
	b, out := led(t, "", "1.52 mm", "1.53 mm", "", "green", "", "1.55 mm", "red", "")
	if got := strings.Join(b.fitted(), ", "); got != "left S150, right S155" || !strings.Contains(out, `"1.55 mm" is neither a part nor a mark of the family`) {
		t.Errorf("%s\n%s", got, out)
	}
}

// TestAnotherPartAtOneOfSeveral: after a bad proof another part is taken at the place
// that is named.
func TestAnotherPartAtOneOfSeveral(t *testing.T) {
	b, out := led(t, "", "1.52 mm", "1.53 mm", "", "", "", "", "", "0.35 mm", "f", "middle", "right", "S160", "", "y")
	if got := strings.Join(b.fitted(), ", "); got != "left S150, right S160" || !strings.Contains(out, "At which place was another part fitted: left, right?") || !strings.Contains(out, `"middle" is not an answer here`) {
		t.Errorf("%s\n%s", got, out)
	}
}
