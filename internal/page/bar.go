package page

import (
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
	"gauged/internal/page/place"
)

// act is what the one key of the bar does. The key changes sides with each turn of the
// job: two acts that follow each other never stand in the same spot, so that a second
// touch of a heavy finger lands on nothing.
type act struct {
	Name string     // of a key in the template "bar"; empty: there is none
	Left bool       // it stands at the left end of the bar, else at the right
	Fit  place.View // the place of the act "fit"
	Part string     // that goes in there instead of the one that was settled on; empty: that one
}

// Act is what goes on with the job.
func (j jobPage) Act() act {
	taken := j
	taken.Job = j.Working()
	next := taken.working()
	next.Left = taken.Turn(taken.reading())%2 == 1
	if next.Name == "stop" {
		next.Left = !next.Left // of the key that began the motion
	}
	if j.Aside != nil && j.Stage != job.StageClosed {
		return act{Name: "resume", Left: !next.Left}
	}
	return next
}

// reading is the measurement that the key reads; empty: it does something else.
func (j jobPage) reading() string {
	if j.MustRead() {
		return ""
	}
	return j.Measuring
}

// working is what is done on a job that is not set aside.
func (j jobPage) working() act {
	switch {
	case j.Stage == job.StageClosed:
		return act{Name: "next-unit"}
	case j.MustRead():
		return act{Name: "acknowledge"}
	case j.Step.Name != "":
		return act{Name: j.taking()}
	case j.Stage == job.StageDecided:
		return j.deciding()
	case j.EndsWell():
		return act{Name: "close"}
	}
	return j.fitting()
}

// taking is how the present step takes its reading.
func (j jobPage) taking() string {
	switch {
	case j.Step.Moving != nil && !j.Typed() && j.Motion != nil:
		return "stop"
	case j.Next() > j.Step.Repeats:
		return "discard" // what was read is not believed, and no further reading mends that
	case j.Step.Moving != nil && !j.Typed():
		return "motion"
	case len(j.Step.Codes) > 0:
		return "" // each mark is a key of its own
	case j.Typed():
		return "enter"
	case j.Button():
		return "press"
	}
	return "take"
}

// deciding is what follows a verdict: a unit that is not right is not closed by the
// key that closes a good one.
func (j jobPage) deciding() act {
	if j.EndsWell() {
		return act{Name: "sign"}
	}
	for _, v := range j.Places {
		switch other := v.Recommended(); {
		case !v.Done():
			return act{Name: "fit", Fit: v}
		case v.Failed && other != "" && other != v.Fitted.Part:
			return act{Name: "fit", Fit: v.With(other), Part: other}
		}
	}
	if j.GoesOn() {
		return act{Name: "round"}
	}
	return act{Name: "give-up"}
}

// fitting is the place whose part is fitted next.
func (j jobPage) fitting() act {
	for _, v := range j.Places {
		if !v.Done() && v.Waits == "" && v.Meant() != "" {
			return act{Name: "fit", Fit: v}
		}
	}
	return act{}
}

// Waiting is the place that must be filled before the next one is worked out; empty:
// none waits.
func (j jobPage) Waiting() string {
	for _, v := range j.Places {
		if v.Waits != "" {
			return v.Waits
		}
	}
	return ""
}

// Said is what to know now, in one list, the weightiest first: warnings and findings.
func (j jobPage) Said() (said []string) {
	found := slices.DeleteFunc(j.Findings(), func(f evaluate.Finding) bool {
		return f.Code == evaluate.FindingOutOfBounds && j.Stage == job.StageDecided // stands under the verdict
	})
	for _, m := range j.Hints(found) {
		said = append(said, j.words.Tell(m))
	}
	return said
}

// Results are the results that the verdict stands on, without the one in its headline.
func (j jobPage) Results() []evaluate.Judgement {
	return slices.DeleteFunc(slices.Clone(j.Telling()), func(g evaluate.Judgement) bool {
		return g.After && j.Evaluation.Verification != nil && g.Name == string(j.Procedure.ClosingWord())
	})
}

// Failed says of the parts that are in, place by place, how their proof ended where it is
// not right, and what follows: what is recommended now, or that the sum gives the same again.
func (j jobPage) Failed() ([]string, error) {
	parts := map[string][]string{}
	var said []string
	say := func(key string, values ...any) error {
		text, err := j.words.Say(key, values...)
		said = append(said, text)
		return err
	}
	for _, v := range j.Places {
		if v.Proof == "" {
			continue
		}
		part := v.Fitted.Part
		if v.Called() != "" {
			part = v.Called() + ": " + part
		}
		switch {
		case !v.Failed:
			parts["job.passed"] = append(parts["job.passed"], part)
		case !v.Again() && v.Recommended() == "":
		case !v.Again():
			if err := say(v.Key("other"), part, v.Recommended()); err != nil {
				return nil, err
			}
		case v.Proof.Together():
			parts[v.Key("together")] = append(parts[v.Key("together")], part)
		default:
			parts[v.Key("again")] = append(parts[v.Key("again")], part)
		}
	}
	for _, key := range []string{"job.failed.again", "job.undecided.again", "job.failed.together", "job.undecided.together", "job.passed"} {
		if len(parts[key]) > 0 {
			if err := say(key, strings.Join(parts[key], ", ")); err != nil {
				return nil, err
			}
		}
	}
	return said, nil
}

// Stale reports whether the digits of the present step's gauge are not what it shows
// now: it does not send, they were discarded, or what it showed is from before this step.
func (j jobPage) Stale() bool {
	g := j.Gauge
	if g == nil || g.Last.Reading == nil {
		return false
	}
	at := j.lastShown()
	return j.NotReady() != "" || at < 0 && g.Last.Seq < j.LastSeq || j.Discarded() != ""
}

// Discarded is why the digits of the present step's gauge do not count; empty: they do.
func (j jobPage) Discarded() string {
	if at := j.lastShown(); at >= 0 {
		return j.State.Readings[at].Discarded
	}
	return ""
}

// lastShown is the reading of the present step that its gauge shows; -1: none is.
func (j jobPage) lastShown() int {
	return slices.IndexFunc(j.State.Readings, func(r procedure.Reading) bool { return j.Gauge != nil && r.Seq == j.Gauge.Last.Seq })
}

// Last is the reading taken last that counts; nil: there is none.
func (j jobPage) Last() (*discardable, error) {
	all, err := j.Discardable()
	if len(all) == 0 {
		return nil, err
	}
	return &all[0], err
}
