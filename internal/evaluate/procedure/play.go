package procedure

import (
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

// readPlay reads what a measurement or a value says of play: a word, or the
// least play that must be felt.
func readPlay(v shopfile.Value, u gauge.Unit, marks bool) (state PlayState, least *gauge.Length) {
	if !v.Given() {
		return "", nil
	}
	if v.IsMap() {
		m := v.Map()
		state, least = PlayFelt, m.Need("least").Positive(u, false)
		m.Done()
	} else {
		state = PlayState(v.OneOf(string(PlayFelt), string(PlayTakenUp), string(PlayNone)))
	}
	if u.Kind() != gauge.KindLength || marks {
		v.Wrong(gauge.Say("entry.play-no-length"))
	}
	return state, least
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
