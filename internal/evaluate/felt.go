package evaluate

import (
	"math/big"
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// unfelt asks back where a play must be felt and is nought, which is anything
// up to the last digit of the gauge, or below the least that the procedure
// states. Every reading must be felt: one that is tight says that the parts are
// tight, whatever the others make of the mean. Only where the play is the range
// of the readings no single one is a play. An interval counts by its lower end.
func (w *work) unfelt(s procedure.Step, lows []gauge.Length) (again bool) {
	if s.Play != procedure.PlayFelt {
		return false
	}
	least := w.lastDigit(s) + 1
	if s.LeastPlay != nil {
		least = max(least, *s.LeastPlay)
	}
	play := slices.Min(lows)
	if s.Take == procedure.TakeRange {
		play = compute.Taken(s, lows)
	}
	if play >= least {
		return false
	}
	w.findUnfelt(s.Name, play, s.Unit)
	return true
}

func (w *work) findUnfelt(name string, play gauge.Length, u gauge.Unit) {
	w.tell(FindingUnfelt, "found.play_not_felt", gauge.Text("step", name), w.P.TellIn("value", play, u))
}

// lastDigit is the resolution of the gauge that gives a step's readings, in the
// step's unit; 0 where it is not known.
func (w *work) lastDigit(s procedure.Step) gauge.Length {
	if a := w.Ability(s); a.Resolution != nil {
		return compute.InStep(*a.Resolution, a.Unit, s.Unit)
	}
	return 0
}

// unfeltValues asks back where a value is a play that must be felt, such as the
// difference of two readings of a dial, and the least that its readings leave is
// none: the smallest of what adds, the largest of what is taken off. Two
// readings of one place differ by up to a last digit of the gauge.
func (w *work) unfeltValues() (again bool, err error) {
	if w.twoZeros(false) {
		return true, nil // no play that could be felt
	}
	for _, n := range w.P.Values {
		x, ok := w.Formula(n)
		if n.Play != procedure.PlayFelt || !ok || w.V.Of[n.Name] == nil {
			continue
		}
		least := gauge.Length(1)
		if n.LeastPlay != nil {
			least = *n.LeastPlay
		}
		play, _, digit, err := w.everyPlay(x, w.V.Of[n.Name], n.Unit)
		if err != nil {
			return false, err
		}
		least = max(least, digit+1)
		if play < least {
			again = true
			w.findUnfelt(n.Name, play, n.Unit)
		}
	}
	return again, nil
}

// everyPlay is between which ends a formula lies that has this value, whichever of
// their readings its measurements are, and the coarsest last digit of their gauges.
func (w *work) everyPlay(x *formula.Expression, value *big.Rat, u gauge.Unit) (least, most, digit gauge.Length, err error) {
	all := compute.New(w.P, w.In)
	all.V = w.V
	for _, name := range w.P.StepsOf(x) {
		s, _, _ := w.P.Step(name)
		digit = max(digit, w.lastDigit(s))
		if o, ok := w.everyReading(s); ok {
			all.Open[formula.Taken{Step: name}] = o
		}
	}
	play, err := formula.InUnit(value, u)
	if err != nil {
		return 0, 0, 0, err
	}
	between, err := all.Between(x, u)
	if err != nil || between == nil {
		return play, play, digit, err
	}
	return *between.Min, *between.Max, digit, nil
}

// everyReading is between which ends all the readings of a step lie; of one that
// counts by their range, its value.
func (w *work) everyReading(s procedure.Step) (o formula.Interval, ok bool) {
	o, ok = w.Open[formula.Taken{Step: s.Name}]
	list := w.V.Readings[s.Name].Exact()
	if s.Take == procedure.TakeRange || len(list) == 0 {
		return o, ok
	}
	if ok {
		list = append(list, o.Low, o.High)
	}
	return formula.Around(list), true
}
