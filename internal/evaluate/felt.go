package evaluate

import (
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// PlayState is what a procedure says of a measurement and the play in it. A
// play of nought is no measurement: the parts are tight by an unknown amount. A
// sum that adds a preload to it would put the preload in twice when it is
// measured with the preload in.
type PlayState string

// The states of play.
const (
	PlayFelt    PlayState = "must be felt"  // the reading is a play; nought is asked back
	PlayTakenUp PlayState = "just taken up" // it is measured with the play just taken up, and nothing preloaded
	PlayNone    PlayState = "no"            // it has nothing to do with a play
)

// play reads what a measurement says of play: a word, or the least play that
// must be felt.
func (r *procedureReader) play(v shopfile.Value, s *Step) {
	if !v.Given() {
		return
	}
	if v.IsMap() {
		m := v.Map()
		s.Play, s.LeastPlay = PlayFelt, positive(m.Need("least"), s.Unit, false)
		m.Done()
	} else {
		s.Play = PlayState(v.OneOf(string(PlayFelt), string(PlayTakenUp), string(PlayNone)))
	}
	if s.Unit.Kind() != gauge.KindLength || len(s.Codes) > 0 {
		v.Problemf("a play is a length: this measurement is none")
	}
}

// PlayNote says to the person who measures what the play must be; empty when
// nothing is said of it.
func (s Step) PlayNote() string {
	switch s.Play {
	case PlayFelt:
		return "A play must be felt: nought means that the parts are tight by an unknown amount."
	case PlayTakenUp:
		return "Measured with the play just taken up and nothing preloaded."
	}
	return ""
}

// unfelt asks back where a play must be felt and is nought, which is anything
// up to the last digit of the gauge, or below the least that the procedure
// states. Every reading must be felt: one that is tight says that the parts are
// tight, whatever the others make of the mean. Only where the play is the range
// of the readings no single one is a play. An interval counts by its lower end.
func (w *work) unfelt(s Step, lows []gauge.Length) (again bool) {
	if s.Play != PlayFelt {
		return false
	}
	least := gauge.Length(1) // nought itself
	if a := w.ability(s); a.Resolution != nil {
		least = inStep(*a.Resolution, a.Unit, s.Unit) + 1
	}
	if s.LeastPlay != nil {
		least = max(least, *s.LeastPlay)
	}
	play := slices.Min(lows)
	if s.Take == TakeRange {
		play = s.statistic(lows)
	}
	if play >= least {
		return false
	}
	w.find(FindingUnfelt, "%s: %s is no play that can be felt: the parts are tight by an unknown amount, and a preload that is in would be put in twice. Fit thinner parts until there is play, discard the reading and measure again", s.Name, w.p.showIn(play, s.Unit))
	return true
}
