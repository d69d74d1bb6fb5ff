package page

import (
	"cmp"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/job"
	"gauged/internal/page/say"
	"gauged/internal/words"
)

// GoesOn reports whether the next round can begin.
func (j jobPage) GoesOn() bool { return j.badProof() && j.Job.GoesOn() == nil }

// NoRound says why none can after a bad proof; empty otherwise.
func (j jobPage) NoRound() string {
	if err := j.Job.GoesOn(); err != nil && j.badProof() {
		return j.words.Error(err)
	}
	return ""
}

// badProof reports whether parts were fitted and their proof is not right.
func (j jobPage) badProof() bool {
	in := func(f *evaluate.Fit) bool { return f.Fitted != nil }
	return j.Stage == job.StageDecided && slices.ContainsFunc(j.Evaluation.EachFit(), in) && j.Evaluation.Outcome.Missed()
}

// Past says of each earlier round what was in and how its proof ended.
func (j jobPage) Past() (lines []string, err error) {
	for _, r := range j.Rounds {
		var parts []string
		for _, f := range r.Fitted {
			text := f.Part
			if f.Thickness != nil {
				text += " " + say.Length(j.words, *f.Thickness, j.Procedure.Unit)
			}
			if f.Place != "" {
				text = f.Place + ": " + text
			}
			parts = append(parts, text)
		}
		for _, g := range r.Results {
			name := g.Name
			if j.words.Has("word." + words.Key(name)) {
				if name, err = j.words.Say("word." + words.Key(name)); err != nil {
					return nil, err
				}
			}
			text, err := say.Judged(j.words, g)
			if err != nil {
				return nil, err
			}
			if g.Mark != "" {
				allowed, err := j.words.Say("sheet.head.allowed")
				if err != nil {
					return nil, err
				}
				text += " (" + allowed + " " + g.Wanted + ")"
			}
			parts = append(parts, cmp.Or(j.ResultTitle(g), name)+" "+text)
		}
		ended, err := j.words.Say("outcome." + words.Key(r.Outcome))
		if err != nil {
			return nil, err
		}
		lines = append(lines, strings.Join(append(parts, ended), "; "))
	}
	return lines, nil
}
