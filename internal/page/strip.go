package page

import (
	"cmp"
	"strconv"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
	"gauged/internal/page/say"
)

// The states of a step of the job in the strip.
const (
	stepDone = "done"
	stepNow  = "now"
	stepNext = "next"
)

// stripStep is one step of the job, with what came of it.
type stripStep struct {
	Number int // from 1, of all
	State  string
	Title  string
	Value  string // taken or fitted; empty: nothing yet
}

// How many steps the strip shows; of a longer job those that are done long ago are counted.
const (
	stripShown = 9
	stripShort = 5 // beside a part, where there are more keys below
)

// Strip lists all steps of the job, measuring, fitting, proof and verdict, with the
// values taken; earlier is how many before them are left out.
func (j jobPage) Strip() (s struct {
	Earlier int
	Steps   []stripStep
}, err error,
) {
	add := func(state, title, value string) {
		s.Steps = append(s.Steps, stripStep{1 + len(s.Steps), state, title, value})
	}
	if err := j.measuring(j.Procedure.Measure, add); err != nil {
		return s, err
	}
	if err := j.filling(add); err != nil {
		return s, err
	}
	if err := j.measuring(j.Procedure.Verify, add); err != nil {
		return s, err
	}
	title, err := j.words.Say("sheet.head.verdict")
	if err != nil {
		return s, err
	}
	switch {
	case j.Stage == job.StageClosed && !j.Unfinished():
		add(stepDone, title, "")
	case j.Stage == job.StageDecided || j.Unproven():
		add(stepNow, title, "")
	default:
		add(stepNext, title, "")
	}
	if drop := j.dropped(s.Steps); drop > 0 {
		s.Earlier, s.Steps = drop, s.Steps[drop:]
	}
	return s, nil
}

// dropped is how many of the first steps there is no room for: all before the
// present one but for the last two.
func (j jobPage) dropped(steps []stripStep) int {
	now := len(steps) - 1
	for i, one := range steps {
		if one.State == stepNow {
			now = i
			break
		}
	}
	shown := stripShown
	if j.Choosing() {
		shown = stripShort
	}
	return max(0, min(now-2, len(steps)-shown))
}

// measuring adds the steps that take readings.
func (j jobPage) measuring(steps []procedure.Step, add func(state, title, value string)) error {
	for _, step := range steps {
		title, err := say.Step(j.words, step)
		if err != nil {
			return err
		}
		state, value := stepNext, ""
		m, _ := j.Measurement(step.Name) // a step that does not apply has none
		switch {
		case step.Name == j.Step.Name:
			state = stepNow
		case m.Complete:
			state = stepDone
		}
		switch {
		case m.Mark != "":
			value = m.Mark
		case m.Value != nil && m.Complete:
			value, err = say.Between(j.words, m.Value, m.Between, m.Unit)
		case counting(m) > 0:
			value, err = j.words.Say("job.taken-of", strconv.Itoa(counting(m)), strconv.Itoa(m.Repeats))
		}
		if err != nil {
			return err
		}
		add(state, cmp.Or(title, step.Name), value)
	}
	return nil
}

// filling adds the places where a part goes.
func (j jobPage) filling(add func(state, title, value string)) error {
	now := j.Act()
	for _, place := range j.Procedure.EachPlace() {
		title, err := j.words.Say("job.steps.fit")
		if err != nil {
			return err
		}
		if called := cmp.Or(place.Title, place.Name); called != "" {
			title += ": " + called
		}
		state, part := stepNext, ""
		for _, v := range j.Places {
			if v.Place != place.Name {
				continue
			}
			part = v.Meant()
			switch {
			case v.Done():
				state, part = stepDone, v.Fitted.Part
			case now.Name == "fit" && now.Fit.Place == v.Place:
				state = stepNow
			}
		}
		if part, err = say.Part(j.words, part); err != nil {
			return err
		}
		add(state, title, part)
	}
	return nil
}
