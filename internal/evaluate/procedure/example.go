package procedure

import (
	"math/big"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Example is a printed example of the manual: readings, and the answer that
// must come out.
type Example struct {
	Title    string
	Source   string
	Readings []Reading
	Fitted   []Fitted

	Place string // file:line:column
	Cut   bool   // the printed digits are cut off, not rounded
	Wants []Wanted
}

// Wanted is one printed answer.
type Wanted struct {
	At     []string // name, or place and name; for a window with min or max
	Place  string   // file:line:column
	Text   string   // as it is printed
	Number *big.Rat // to compute with; nil: text is compared
	Digit  *big.Rat // size of the last printed digit
	Unit   gauge.Unit
}

// Answers that an example may want beside the names of the procedure.
const (
	AnswerOutcome = "outcome"
	AnswerPart    = "part"
	answerGap     = "gap"
	AnswerAim     = "thickness" // that is aimed at, or to which a part is made
	AnswerPlay    = "play"
	AnswerPreload = "preload"
	AnswerMin     = "window_min"
	AnswerMax     = "window_max"
)

var answers = []string{AnswerOutcome, AnswerPart, answerGap, AnswerAim, AnswerPlay, AnswerPreload, AnswerMin, AnswerMax}

// Called is the argument example of a problem: which example it is.
func (x *Example) Called() gauge.Arg {
	if x.Title == "" {
		return gauge.Nested("example", gauge.Say("example.only"))
	}
	return gauge.Nested("example", gauge.Say("example.titled", shopfile.Quoted("title", x.Title)))
}
