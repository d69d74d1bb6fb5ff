package station

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/recall"
	"gauged/internal/job"
)

func mm(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

// unit runs a job of testProcedure in which the dial measures the depth and the
// play; the height is typed and R160 is fitted. It returns its number.
func (r *rig) unit(depth, height, play string) uint64 {
	r.t.Helper()
	id := r.start(map[string]string{"depth": "dial", "end_play": "dial"}).ID
	r.press("dial", depth, gauge.Millimetre)
	r.press("dial", depth, gauge.Millimetre)
	r.enter(id, height)
	r.fit(id)
	if play != "" {
		r.press("dial", play, gauge.Millimetre)
	}
	r.close(id, "done")
	return id
}

func (r *rig) fit(id uint64) {
	r.t.Helper()
	if _, err := r.Fit(r.t.Context(), FitRequest{Job: id, Part: "R160"}); err != nil {
		r.t.Fatal(err)
	}
}

func (r *rig) close(id uint64, reason string) {
	r.t.Helper()
	if j, err := r.Job(r.t.Context(), id); err != nil || j.Stage == job.StageDecided && !j.EndsWell() {
		if _, err := r.Verify(r.t.Context(), id, ""); err != nil {
			r.t.Fatal(err)
		}
		reason = cmp.Or(reason, "known")
	}
	if _, err := r.CloseJob(r.t.Context(), id, reason, ""); err != nil {
		r.t.Fatal(err)
	}
}

// checkDial checks the dial at both masters of its plan, each with the same error.
func (r *rig) checkDial(zero, block string) *check.Record {
	r.t.Helper()
	return r.check("dial", r.at("dial", "zero", zero, zero), r.at("dial", "block", block, block))
}

func (r *rig) recall(request recall.Request) recall.List {
	r.t.Helper()
	got, err := r.Recall(r.t.Context(), request)
	if err != nil {
		r.t.Fatal(err)
	}
	return got
}

// say writes a recall as lines for comparison.
func say(r recall.List) (lines []string) {
	for _, i := range r.Items {
		line := fmt.Sprintf("job %d: %s -> %s", i.Job, i.Before, i.After)
		if i.Measured != nil {
			line += ", " + i.Measured.Text(i.Unit, 4)
		}
		if i.Corrected != nil {
			line += " -> " + i.Corrected.Text(i.Unit, 4)
		}
		if i.Allowed.Limited() {
			line += fmt.Sprintf(" of %s to %s", i.Allowed.Min.Text(i.Unit, 2), i.Allowed.Max.Text(i.Unit, 2))
		}
		if i.Probability != nil {
			line += fmt.Sprintf(", %.1f", *i.Probability)
		}
		lines = append(lines, line)
	}
	return lines
}

func wantLines(t *testing.T, got, want []string) {
	t.Helper()
	for i := range max(len(got), len(want)) {
		g, w := "nothing", "nothing"
		if i < len(got) {
			g = got[i]
		}
		if i < len(want) {
			w = want[i]
		}
		if g != w {
			t.Errorf("line %d:\n got %s\nwant %s", i+1, g, w)
		}
	}
}

// TestRecallFlipsVerdicts: the dial showed 0.03 mm too much.
//
//	job 2: play 0.120 - 0.030 = 0.090, less than 0.10: does not conform after all
//	job 3: play 0.220 - 0.030 = 0.190, inside 0.10 to 0.20: conforms after all
//	job 4: play 0.150 - 0.030 = 0.120: conforms as before
//	job 5: not measured after fitting; depth 25.450 - 0.030 = 25.420, gap 25.420 - 23.700 = 1.720,
//	       predicted 1.750 - 1.600 = 0.150, and 1.720 - 1.600 = 0.120: inside as before
//	job 6: likewise, 25.430 - 23.700 - 1.600 = 0.130, and 0.100 at the limit: inside as before
//	job 7: likewise, 25.420 - 23.700 - 1.600 = 0.120, and 0.090: the sum no longer vouches for it
//
// Job 1 was before the check that found the dial good; job 8 was typed in.
func TestRecallFlipsVerdicts(t *testing.T) {
	r := newRig(t)
	r.unit("25.430", "23.700", "0.120")
	if c := r.checkDial("0.000", "25.000"); c.Result.Error != 0 {
		t.Fatalf("error %d", c.Result.Error)
	}
	good := r.clock()
	r.unit("25.430", "23.700", "0.120")
	r.unit("25.430", "23.700", "0.220")
	r.unit("25.430", "23.700", "0.150")
	r.unit("25.450", "23.700", "")
	r.unit("25.430", "23.700", "")
	r.unit("25.420", "23.700", "")
	typed := r.start(map[string]string{"end_play": "dial"}).ID
	for _, shown := range []string{"25.430", "25.430", "23.700"} {
		r.enter(typed, shown)
	}
	r.fit(typed)
	r.enter(typed, "0.110")
	r.close(typed, "")
	c := r.checkDial("0.030", "25.030")

	got := r.recall(recall.Request{Gauge: "dial"})
	wantLines(t, say(got), []string{
		"job 2: conforms -> does not conform, 0.1200 -> 0.0900 of 0.10 to 0.20",
		"job 3: does not conform -> conforms, 0.2200 -> 0.1900 of 0.10 to 0.20",
		"job 7: verify -> verify, 0.1200 -> 0.0900 of 0.10 to 0.20",
		"job 4: conforms -> conforms, 0.1500 -> 0.1200 of 0.10 to 0.20",
		"job 5: verify -> verify, 0.1500 -> 0.1200 of 0.10 to 0.20",
		"job 6: verify -> verify, 0.1300 -> 0.1000 of 0.10 to 0.20",
	})
	if got.Largest().Error != mm("0.03") || got.Flipped != 2 || got.Undecided != 1 || got.Since.After(good) || !got.Until.Equal(c.Time) {
		t.Errorf("error %d, %d flipped, %d undecided, since %v until %v", got.Largest().Error, got.Flipped, got.Undecided, got.Since, got.Until)
	}
	first := got.Items[0]
	if first.UnitSerial != "U-7" || first.Started.IsZero() || first.Closed.IsZero() {
		t.Errorf("%+v", first)
	}

	// An error that is given counts as of now, and a time that is given counts.
	e := mm("0.030")
	if got := r.recall(recall.Request{Gauge: "dial", Error: &e, Since: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)}); len(got.Items) != 7 || got.Flipped != 3 {
		t.Errorf("since long ago: %d jobs, %d flipped", len(got.Items), got.Flipped)
	}
	if got := r.recall(recall.Request{Gauge: "dial", Error: &e, Since: first.Closed}); len(got.Items) != 5 {
		t.Errorf("after job 2: %d jobs", len(got.Items))
	}
	// Of a gauge that was never used there is nothing.
	if got := r.recall(recall.Request{Gauge: "strict", Error: &e}); len(got.Items) != 0 || !got.Since.IsZero() {
		t.Errorf("strict: %+v", got)
	}
}

// TestRecallByTheErrorThere: at closed faces the dial shows nothing too much, at 25 mm
// 0.060 mm. What comes off is the error where it was read, not the mean over the masters:
// 0.0003 mm of a play of 0.120, 0.060 of a depth beyond the largest master.
func TestRecallByTheErrorThere(t *testing.T) {
	r := newRig(t)
	r.checkDial("0.000", "25.000")
	r.unit("25.430", "23.700", "0.120")
	r.unit("25.430", "23.700", "")
	r.checkDial("0.000", "25.060")
	got := r.recall(recall.Request{Gauge: "dial"})
	wantLines(t, say(got), []string{
		"job 2: verify -> verify, 0.1300 -> 0.0700 of 0.10 to 0.20",
		"job 1: conforms -> conforms, 0.1200 -> 0.1197 of 0.10 to 0.20",
	})
	if len(got.Curve) != 2 || got.Curve[1].At != mm("25.06") || got.Largest().Error != mm("0.06") {
		t.Errorf("curve %+v", got.Curve)
	}
	if got.Beyond != 2 || !got.Items[0].Beyond || got.ByLimits != 2 {
		t.Errorf("%d beyond the masters, %d by the limits", got.Beyond, got.ByLimits)
	}
	e, err := recall.Request{Gauge: "dial"}.Settle(r.Known(t.Context(), "dial"))
	if err != nil {
		t.Fatal(err)
	}
	for shown, want := range map[string]string{"25.06": "0.06", "12.53": "0.03", "0": "0"} {
		if off := e.At(r.clock(), mm(shown)); off.Error != mm(want) || off.Beyond {
			t.Errorf("at %s: %+v, want %s", shown, off, want)
		}
	}
	// The same, given as points.
	given := r.recall(recall.Request{Gauge: "dial", Points: got.Curve, Since: got.Since.Add(-time.Hour)})
	wantLines(t, say(given), say(got))
}

// TestRecallWithoutVerdict: a job that was closed before its verdict is named,
// and a reading that was discarded does not count.
func TestRecallWithoutVerdict(t *testing.T) {
	r := newRig(t)
	closed := r.start(map[string]string{"depth": "dial"}).ID
	r.press("dial", "25.430", gauge.Millimetre)
	r.close(closed, "cracked case")

	discarded := r.start(map[string]string{"depth": "dial"}).ID
	r.press("dial", "25.990", gauge.Millimetre)
	if _, err := r.Discard(t.Context(), discarded, 0, "not seated", ""); err != nil {
		t.Fatal(err)
	}
	for _, shown := range []string{"25.430", "25.430", "23.700"} {
		r.enter(discarded, shown)
	}
	r.close(discarded, "typed instead")

	again := r.start(map[string]string{"depth": "dial"}).ID
	r.press("dial", "25.990", gauge.Millimetre)
	if _, err := r.Discard(t.Context(), again, 0, "not seated", ""); err != nil {
		t.Fatal(err)
	}
	r.press("dial", "25.430", gauge.Millimetre)
	r.press("dial", "25.440", gauge.Millimetre)
	r.enter(again, "23.700") // it stays open

	e := mm("0.030")
	got := r.recall(recall.Request{Gauge: "dial", Error: &e})
	wantLines(t, say(got), []string{
		"job 1: measuring -> measuring",
		"job 3: fit part -> fit part, 1.7350 -> 1.7050", // mean of 25.430 and 25.440, less 23.700
	})
	if got.Flipped+got.Undecided != 0 || !got.Items[1].Closed.IsZero() {
		t.Errorf("%+v", got)
	}
}

// guarded runs a job that the strict gauge measures whole, so that its limits are
// guarded by the gauge's 4 um.
func (r *rig) guarded(play string) {
	r.t.Helper()
	id := r.start(map[string]string{"*": "strict"}).ID
	take := func(shown string) {
		r.Report(Report{State: &gauge.StateChange{Gauge: "strict", Time: r.clock(), State: gauge.StateLive}})
		r.press("strict", shown, gauge.Millimetre)
		if _, _, err := r.Capture(r.t.Context(), CaptureRequest{Job: id}); err != nil {
			r.t.Fatal(err)
		}
	}
	for _, shown := range []string{"25.4300", "25.4301", "23.7000"} {
		take(shown)
	}
	r.fit(id)
	take(play)
	r.close(id, "done")
}

// TestRecallMakesUndecided: 0.030 mm taken off leaves 0.132, 0.101 and 0.080 of
// 0.10 to 0.20. The gauge is within 0.004 mm either way, evenly: 0.101 is inside with a
// probability of (0.004 + 0.001)/0.008 = 5/8, which decides nothing; the other two are
// further from a limit than that. The gap keeps, as both its ends are off by the same.
func TestRecallMakesUndecided(t *testing.T) {
	r := newRig(t)
	r.check("strict", r.at("strict", "block", "25.000"))
	r.guarded("0.162")
	r.guarded("0.131")
	r.guarded("0.110")
	r.check("strict", r.at("strict", "block", "25.030"))
	got := r.recall(recall.Request{Gauge: "strict"})
	wantLines(t, say(got), []string{
		"job 3: conforms -> does not conform, 0.1100 -> 0.0800 of 0.10 to 0.20, 0.0",
		"job 2: conforms -> undecided, 0.1310 -> 0.1010 of 0.10 to 0.20, 0.6",
		"job 1: conforms -> conforms, 0.1620 -> 0.1320 of 0.10 to 0.20, 1.0",
	})
	if got.Flipped != 1 || got.Undecided != 1 {
		t.Errorf("%d flipped, %d undecided", got.Flipped, got.Undecided)
	}
}

// TestRecallGrowing: ten days from nothing to 0.030 mm. After five days it is half
// of it, 0.120 - 0.015 = 0.105; after nine, 0.120 - 0.027 = 0.093.
func TestRecallGrowing(t *testing.T) {
	r := newRig(t)
	const day = 24 * time.Hour
	r.checkDial("0.000", "25.000")
	r.pass(5 * day)
	r.unit("25.430", "23.700", "0.120")
	r.pass(4 * day)
	r.unit("25.430", "23.700", "0.120")
	r.pass(day)
	// It is adjusted then; what follows is not off.
	_, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "dial", By: "quality",
		Found: []CheckPoint{r.at("dial", "zero", "0.030", "0.030"), r.at("dial", "block", "25.030", "25.030")},
		Left:  []CheckPoint{r.at("dial", "block", "25.000")},
	})
	if err != nil {
		t.Fatal(err)
	}
	r.unit("25.430", "23.700", "0.120")
	got := r.recall(recall.Request{Gauge: "dial", Model: recall.CourseGrowing})
	wantLines(t, say(got), []string{
		"job 2: conforms -> does not conform, 0.1200 -> 0.0930 of 0.10 to 0.20",
		"job 1: conforms -> conforms, 0.1200 -> 0.1050 of 0.10 to 0.20",
	})
	if got := r.recall(recall.Request{Gauge: "dial"}); len(got.Items) != 2 || got.Flipped != 2 {
		t.Errorf("constant: %d jobs, %d flipped", len(got.Items), got.Flipped)
	}
}

// TestRecallFromWork: the dial drifts by 1 um a day while three gauges change
// places, and the jobs alone tell it. Taken off are their estimate and its
// uncertainty at the day of each job.
func TestRecallFromWork(t *testing.T) {
	r := newRig(t)
	s := newSimulated(r)
	s.days(36, roles{"dial", "probe", "far"}, roles{"far", "dial", "probe"}, roles{"probe", "far", "dial"})
	got := r.recall(recall.Request{Gauge: "dial", Model: recall.CourseFromWork})
	known := r.workErrors()["dial"]
	if off := got.Largest().Error.Metres() - known.Error; got.Model != recall.CourseFromWork || math.Abs(off) > 0.1*um || got.Largest().Error < gauge.MustLength("20", gauge.Micrometre) || got.Check != nil {
		t.Errorf("%s %d, estimated now %g", got.Model, got.Largest().Error, known.Error)
	}
	if standard := got.Largest().Standard(); math.Abs(standard.Metres()-known.Standard) > 0.1*um || standard <= 0 {
		t.Errorf("uncertainty %d, estimated now %g", standard, known.Standard)
	}
	if len(got.Items) != 72 {
		t.Fatalf("%d jobs", len(got.Items))
	}
	verified := 0
	begin := got.Items[0].Started
	for _, i := range got.Items {
		if i.Started.Before(begin) {
			begin = i.Started
		}
	}
	for _, i := range got.Items {
		if r.job(i.Job).Gauges["end_play"] != "dial" {
			continue
		}
		verified++
		day := math.Floor(i.Started.Sub(begin).Hours() / 24)
		if off := (*i.Measured - *i.Corrected).Metres(); math.Abs(off-day*um) > 8*um {
			t.Errorf("job %d on day %g: %g was taken off", i.Job, day, off)
		}
	}
	if verified != 24 {
		t.Errorf("the dial verified %d jobs", verified)
	}
	// After an adjustment the gauge is no longer off.
	_, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "dial", By: "quality",
		Found: []CheckPoint{r.at("dial", "zero", "0.036", "0.036"), r.at("dial", "block", "25.036", "25.036")},
		Left:  []CheckPoint{r.at("dial", "block", "25.000")},
	})
	if err != nil {
		t.Fatal(err)
	}
	r.pass(24 * time.Hour)
	r.unit("25.430", "23.700", "0.120")
	after := r.recall(recall.Request{Gauge: "dial", Model: recall.CourseFromWork})
	if found := after.Largest().Error.Metres(); len(after.Items) != 72 || !after.Adjusted() || math.Abs(found-36*um) > 4*um {
		t.Errorf("%d jobs, adjusted %t, error %g", len(after.Items), after.Adjusted(), found)
	}
}

// TestUncertaintyOfErrorCounts: the play of 0.131 less 0.020 is 11 um inside, the
// gauge is within 4 um: certain. An error known to 10 um makes the standard
// uncertainty 10.3 um, root of 10, 4/sqrt(3) and 0.5 squared, and 11/10.3 = 1.07 of
// it has a probability of 0.857 from tables of the normal distribution.
func TestUncertaintyOfErrorCounts(t *testing.T) {
	r := newRig(t)
	r.check("strict", r.at("strict", "block", "25.000"))
	r.guarded("0.131")
	e, standard := mm("0.020"), mm("0.010")
	sure := r.recall(recall.Request{Gauge: "strict", Error: &e})
	if p := *sure.Items[0].Probability; p != 1 || sure.Items[0].After != evaluate.Conforms {
		t.Errorf("probability %g, %s", p, sure.Items[0].After)
	}
	unsure := r.recall(recall.Request{Gauge: "strict", Error: &e, Standard: &standard})
	if p := *unsure.Items[0].Probability; math.Abs(p-0.857) > 0.002 || unsure.Items[0].After != evaluate.Undecided || unsure.Undecided != 1 {
		t.Errorf("probability %g, %s", p, unsure.Items[0].After)
	}
}

func TestRecallRefusals(t *testing.T) {
	r := newRig(t)
	e, negative := mm("0.030"), mm("-0.001")
	for _, c := range []struct {
		give recall.Request
		kind error
		want string
	}{
		{recall.Request{Gauge: "caliper"}, gauge.ErrNotFound, `not found: there is no gauge "caliper": there are clock, dial, each, far, fresh, micrometer, pedal, probe, remote, strict, sweep`},
		{recall.Request{Gauge: "dial"}, gauge.ErrInput, "wrong input: gauge dial was never checked against a master: give the error that was found, shown less true"},
		{recall.Request{Gauge: "dial", Model: recall.CourseFromWork, Error: &e}, gauge.ErrInput, "wrong input: an error that the jobs tell is not given as well: leave one of them out"},
		{recall.Request{Gauge: "dial", Model: recall.CourseFromWork}, gauge.ErrInput, "wrong input: no job of the last 400 days compares gauge dial with another one: give the error that was found, shown less true"},
		{recall.Request{Gauge: "dial", Model: "sudden"}, gauge.ErrInput, `wrong input: "sudden" is no way in which an error comes about`},
		{recall.Request{Gauge: "dial", Error: &e, Standard: &negative}, gauge.ErrInput, "wrong input: the standard uncertainty of the error is not negative"},
		{recall.Request{Gauge: "dial", Error: &e, Model: recall.CourseGrowing}, gauge.ErrInput, "wrong input: no check of gauge dial passed before: say since when its error grew"},
		{
			recall.Request{Gauge: "dial", Error: &e, Model: recall.CourseGrowing, Since: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)},
			gauge.ErrInput,
			"wrong input: the error of gauge dial was found on 1 Mar 2026 08:00:00 +00:00 and cannot have grown since 2 Mar 2026: say an earlier time since when it grew",
		},
		{
			recall.Request{Gauge: "dial", Error: &e, Since: time.Date(9999, 3, 2, 0, 0, 0, 0, time.UTC)},
			gauge.ErrInput,
			"wrong input: since 2 Mar 9999 is later than 1 Mar 2026 08:00:00 +00:00, until when the error of gauge dial counts: say an earlier time since when",
		},
	} {
		if _, err := r.Recall(t.Context(), c.give); !errors.Is(err, c.kind) || said(err) != c.want {
			t.Errorf("got %v\nwant %s", err, c.want)
		}
	}
}

// TestRecallOfTypedGauge: what was read by eye from a gauge that the station knows
// is corrected as any reading is.
func TestRecallOfTypedGauge(t *testing.T) {
	r := newRig(t)
	j := r.start(map[string]string{"depth": "dial", "height": "micrometer", "end_play": "dial"})
	r.press("dial", "25.21", gauge.Millimetre)
	r.press("dial", "25.21", gauge.Millimetre)
	if _, _, err := r.Enter(t.Context(), EnterRequest{Job: j.ID, Shown: "23.46", Unit: gauge.Millimetre}); err != nil {
		t.Fatal(err)
	}
	off := mm("0.03")
	got := r.recall(recall.Request{Gauge: "micrometer", Error: &off})
	if len(got.Items) != 1 || *got.Items[0].Corrected-*got.Items[0].Measured != off {
		t.Errorf("%+v", got.Items)
	}
}
