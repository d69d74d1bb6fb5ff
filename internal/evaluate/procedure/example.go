package procedure

import (
	"fmt"
	"math/big"

	"gauged/internal/gauge"
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

// Called names the example in a problem.
func (x *Example) Called() string {
	if x.Title == "" {
		return "the example"
	}
	return fmt.Sprintf("the example %q", x.Title)
}
