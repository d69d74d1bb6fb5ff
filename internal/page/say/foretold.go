package say

import (
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// foretelling says in the page's language what a part would leave.
type foretelling struct {
	w   words.Words
	p   *procedure.Procedure
	err error
}

func (f *foretelling) say(key string, args ...any) string {
	text, err := f.w.Say(key, args...)
	if f.err == nil {
		f.err = err
	}
	return text
}

// Foretold says all that is foretold of a part, and what is wrong with it.
func Foretold(w words.Words, p *procedure.Procedure, t evaluate.Foretold) (string, error) {
	f := foretelling{w: w, p: p}
	text := f.text(t)
	return text, f.err
}

// text is all that is foretold of a part, and what is wrong with it.
func (f *foretelling) text(t evaluate.Foretold) string {
	part := t.Part
	if t.Thickness != nil && t.Part != procedure.NoPart {
		part = f.say("foretold.thick", part, f.length(*t.Thickness))
	}
	if t.Measured {
		part = f.say("foretold.measured", part)
	}
	if t.Place != "" {
		part = t.Place + ": " + part
	}
	said := []string{part}
	switch {
	case t.Play != nil:
		said = f.leaves(t, part)
	case t.Thickness == nil && !t.Fits:
		said[0] = f.say("foretold.unknown", part)
	}
	if !t.Fits {
		said = append(said, f.say("foretold.misfit"))
	}
	if t.Recommended != "" && t.Recommended != t.Part {
		said = append(said, f.say("foretold.recommended", t.Recommended))
	}
	text := strings.Join(said, "; ")
	for _, w := range t.Warnings {
		if w.Code != evaluate.FindingOtherPart && w.Code != evaluate.FindingPrediction { // said already
			text += ". " + f.say("finding."+string(w.Code)) + ": " + f.w.Tell(w.Says)
		}
	}
	return text
}

// leaves is the play that the part would leave, beside what is allowed.
func (f *foretelling) leaves(t evaluate.Foretold, part string) []string {
	first := f.say("foretold.leaves", part, f.play(t.Word, *t.Play))
	if t.Worst != nil {
		first += ", " + f.say("sheet.worst", f.plays(t.Word, *t.Worst))
	}
	said := []string{first}
	if t.Allowed.Limited() {
		said = append(said, f.say("foretold.allowed", f.plays(t.Word, t.Allowed)))
	}
	if t.Probability != nil {
		said = append(said, f.say("foretold.inside", f.w.Chance(t.Probability.String())))
	}
	return said
}

// play is what is left, by the word that stands for its sign.
func (f *foretelling) play(word procedure.Word, play gauge.Length) string {
	switch {
	case word == procedure.WordResult:
		return f.length(play)
	case play < 0:
		return f.say("foretold.preload", f.length(-play))
	}
	return f.say("foretold.play", f.length(play))
}

// plays is a range of plays with the word at each end where they differ; two preloads
// go from the lighter to the heavier.
func (f *foretelling) plays(word procedure.Word, l procedure.Limits) string {
	key := "foretold.play"
	switch {
	case word == procedure.WordResult:
		return f.limits(l)
	case word == procedure.WordPreload && (l.Min == nil || l.Max == nil), l.Max != nil && (*l.Max < 0 || word == procedure.WordPreload && *l.Max == 0):
		key, l = "foretold.preload", procedure.WordPreload.CalledLimits(l)
	case l.Min != nil && l.Max != nil && *l.Min < 0:
		return f.say("sheet.from-to", f.play(word, *l.Min), f.play(word, *l.Max))
	}
	return f.say(key, f.limits(l))
}

func (f *foretelling) limits(l procedure.Limits) string {
	text, err := Limits(f.w, l, f.p.Unit)
	if f.err == nil {
		f.err = err
	}
	return text
}

func (f *foretelling) length(l gauge.Length) string { return Length(f.w, l, f.p.Unit) }
