package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// fitting is one place of an evaluation under construction.
type fitting struct {
	*work
	place    *procedure.Place
	family   *procedure.Family // with what is left of it; nil when the place chooses from none
	fit      *Fit
	took     map[stockKey][]string // the places to which counted pieces go
	outcome  Outcome
	foreseen []Finding         // of the recommended part, else of the one that is in
	budget   int               // of the play that it leaves: how many there were with it; 0: none
	joint    bool              // it is chosen together with other places
	wanted   *procedure.Limits // between which ends a stated thickness is; nil where no reading is an interval
}

// tell points something out, with the place where there are several.
func (w *fitting) tell(code FindingCode, key string, args ...gauge.Arg) {
	w.point(code, w.atPlace(gauge.Say(key, args...)))
}

// atPlace is the code of a message with the place that it is about.
const atPlace = "found.at_place"

// atPlace is a message with the place that it is about, where there are several.
func (w *fitting) atPlace(said gauge.Message) gauge.Message {
	if w.place.Name == "" {
		return said
	}
	return gauge.Say(atPlace, gauge.Text("place", w.place.Name), gauge.Nested("said", said))
}

// part works out the window of thickness and the part that is wanted.
func (w *fitting) part() error {
	switch w.place.Choose.Aim {
	case procedure.AimCode:
		return w.fromCodes()
	case procedure.AimChart:
		return w.fromChart()
	}
	possible, err := w.target()
	if err != nil || !possible {
		return err
	}
	w.choosePart()
	return nil
}

// choosePart takes the part for what is wanted.
func (w *fitting) choosePart() {
	switch {
	case w.place.Choose.Aim == procedure.AimTable:
		w.fromTable()
	case w.place.ToSize:
		w.toSize()
	case w.place.Choose.Pack != nil:
		w.pack()
	default:
		w.rank()
	}
}

// target computes the gap or the stated thickness, and the window. It reports
// false when no part could be thin enough.
func (w *fitting) target() (possible bool, err error) {
	if w.place.Thickness != nil {
		return w.statedThickness()
	}
	gap, err := w.sum(w.place.GapName(), w.gapUnit(), w.place.Gap)
	if err != nil {
		return false, err
	}
	w.fit.Gap, w.fit.Between = &gap, w.lastBetween()
	w.fit.Worst = w.Worst(w.place.Gap, w.gapUnit())
	if w.fit.Allowed, err = w.Bounds(w.place.Allowed); err != nil {
		return false, err
	}
	if w.fit.Allowed.Limited() {
		w.fit.Rule = w.ruleName(w.doubts.Ruling(w.place.Gap, w.place.Allowed))
	}
	if w.place.Choose.Aim == procedure.AimTable {
		return true, nil
	}
	return w.window()
}

// gapUnit is the unit of a gap: a table may be looked up with a number or a
// torque.
func (w *fitting) gapUnit() gauge.Unit {
	if w.place.Choose.Aim == procedure.AimTable && w.place.Gap.Of != formula.Length {
		return w.family.Unit
	}
	return w.P.Unit
}

// statedThickness takes the thickness that the procedure states as the aim.
func (w *fitting) statedThickness() (possible bool, err error) {
	t, err := w.sum(w.place.Prefix()+"thickness", w.P.Unit, w.place.Thickness)
	if err != nil {
		return false, err
	}
	w.fit.Aim, w.wanted = &t, w.lastBetween()
	w.doubts.Assess(w.place.Prefix()+"thickness", w.place.Thickness, w.P.Unit)
	if w.tooThin(t) {
		w.outcome = MeasureAgain
		w.tell(FindingImpossible, "found.impossible_thickness", w.P.Tell("thickness", t))
		return false, nil
	}
	if within := w.place.Within; within != nil {
		low, high := t, t
		if b := w.lastBetween(); b != nil {
			low, high = *b.Max, *b.Min
		}
		low, high = max(low-*within, 0), high+*within
		if low > high {
			w.outcome = Undecided
			w.tell(FindingInterval, "found.thickness_open", w.P.TellBetween("thickness", t, w.lastBetween(), w.P.Unit), w.P.Tell("within", *within))
			return false, nil
		}
		w.fit.Window, w.fit.Rule = &procedure.Limits{Min: &low, Max: &high}, ruleSimple
	}
	if w.place.Choose.Pack != nil && w.place.Within == nil { // one more piece of the thinnest would do
		low, high := max(t-w.family.Thinnest(), 0), t+w.family.Thinnest()
		w.fit.Window = &procedure.Limits{Min: &low, Max: &high}
	}
	switch w.place.Choose.Aim {
	case procedure.AimThicker:
		w.fit.Window = w.fit.Window.But(&t, nil)
	case procedure.AimThinner:
		w.fit.Window = w.fit.Window.But(nil, &t)
	}
	return true, nil
}

// window computes the thicknesses that give an allowed play, and the one aimed
// at: thickness = gap - play. A gap known as an interval leaves those that are
// right for both its ends. It reports false when there are none, or when no part
// could be thin enough, which is a fault of the set-up and never a negative shim.
func (w *fitting) window() (possible bool, err error) {
	gap := *w.fit.Gap
	least, most := gap, gap
	if b := w.fit.Between; b != nil {
		least, most = *b.Min, *b.Max
	}
	low, high := most-*w.fit.Allowed.Max, least-*w.fit.Allowed.Min
	thickest := most - *w.fit.Allowed.Min
	switch {
	case thickest < 0 || thickest == 0 && !w.place.Choose.None:
		w.outcome = MeasureAgain
		w.tell(FindingImpossible, "found.impossible_gap", w.P.Tell("gap", gap), w.tellAllowed())
		return false, nil
	case w.fit.Between != nil && (low > high || high < 0 || high == 0 && !w.place.Choose.None):
		w.outcome = Undecided
		w.tell(FindingInterval, "found.gap_open", w.P.TellBetween("gap", gap, w.fit.Between, w.P.Unit), w.tellAllowed())
		return false, nil
	}
	low = max(low, 0)
	w.fit.Window = &procedure.Limits{Min: &low, Max: &high}
	aim, err := w.aim(low, high)
	w.fit.Aim = &aim
	return true, err
}

func (w *fitting) aim(low, high gauge.Length) (gauge.Length, error) {
	switch w.place.Choose.Aim {
	case procedure.AimThickest:
		return high, nil
	case procedure.AimThinnest:
		return low, nil
	case procedure.AimPlay:
		play, err := w.AimedPlay(w.place)
		return max(min(*w.fit.Gap-play, high), low), err
	default:
		return gauge.Mean(low, high), nil
	}
}

// rank lists every grade with the play it would give and takes the one that
// fits, can be had and is preferred.
func (w *fitting) rank() {
	w.list()
	best, bestInStock := -1, -1
	for i, c := range w.fit.Candidates {
		if !c.Fits {
			continue
		}
		if best < 0 || w.better(i, best) {
			best = i
		}
		switch {
		case c.Out():
		case bestInStock < 0 || w.better(i, bestInStock):
			bestInStock = i
		}
	}
	if bestInStock < 0 {
		w.nothingFits()
		return
	}
	w.choose(bestInStock)
	also := w.alsoRight(bestInStock)
	if w.brief == nil {
		w.fit.Why = gauge.Sentences(w.why(*w.fit.Choice), also, w.tied(bestInStock))
	}
	if best != bestInStock {
		key := "found.missed_nearer"
		if w.twiceOff(*w.family.Grades[best].Thickness) == w.twiceOff(*w.fit.Choice.Thickness) {
			key = "found.missed_preferred"
		}
		w.missed(w.family.Grades[best], key, gauge.Text("next", w.fit.Choice.Part))
	}
	w.doubtful()
}

// list lists every grade with the play it would give.
func (w *fitting) list() {
	w.fit.Candidates = make([]Candidate, 0, len(w.family.Grades))
	for i, g := range w.family.Grades {
		if g.Thickness == nil {
			w.fit.Candidates = append(w.fit.Candidates, Candidate{Grade: g, PassedOver: gauge.Say("passed.no_thickness")})
			continue
		}
		c := w.candidate(i)
		if c.Fits && g.Out() {
			c.PassedOver = w.unavailable(g)
		}
		w.fit.Candidates = append(w.fit.Candidates, c)
	}
}

// candidate is a grade with the play that it would give.
func (w *fitting) candidate(i int) Candidate {
	g := w.family.Grades[i]
	c := Candidate{Grade: g, Fits: w.inWindow(*g.Thickness) && (!w.unbounded() || w.belongs(i)), Play: w.playWith(*g.Thickness)}
	if c.Play != nil {
		c.Between = w.fit.Between.Less(*g.Thickness)
		c.Worst, c.Probability = w.foretold(compute.Pieces{g}, *c.Play)
	}
	if c.Fits && w.surely(compute.Pieces{g}, c.Worst, c.Probability) {
		c.Fits, c.PassedOver = false, surelyPassedOver
	}
	return c
}

// playWith is the play that a thickness leaves; nil when the thickness was
// stated instead of the gap, or a table is looked up by something else.
func (w *fitting) playWith(thickness gauge.Length) *gauge.Length {
	if !w.gapIsLeft() {
		return nil
	}
	play := *w.fit.Gap - thickness
	return &play
}

// better reports whether grade a is preferred to b, which stands before it.
func (w *fitting) better(a, b int) bool {
	if w.place.Choose.Aim == procedure.AimLikeliest {
		pa, pb := w.fit.Candidates[a].Probability, w.fit.Candidates[b].Probability
		if pa != nil && pb != nil && *pa != *pb {
			return *pa > *pb
		}
	}
	return w.nearer(*w.family.Grades[a].Thickness, *w.family.Grades[b].Thickness)
}

// choose settles on a candidate and shows its neighbours.
func (w *fitting) choose(i int) {
	w.outcome = FitPart
	w.fit.Choice = &w.fit.Candidates[i]
	if i > 0 {
		w.fit.Thinner = &w.fit.Candidates[i-1]
	}
	if i+1 < len(w.fit.Candidates) {
		w.fit.Thicker = &w.fit.Candidates[i+1]
	}
}

func (w *fitting) inWindow(t gauge.Length) bool {
	if w.fit.Window == nil {
		return true
	}
	if w.place.Choose.Border == procedure.BorderOutside && (w.fit.Window.Min != nil && t == *w.fit.Window.Min || w.fit.Window.Max != nil && t == *w.fit.Window.Max) {
		return false
	}
	return w.fit.Window.Contains(t)
}

// nearer reports whether thickness a is preferred to b; grades come in rising
// order, so at equal distance a is the thicker one. Distances to the middle are
// compared as twice the distance, so that half a picometre does not decide.
func (w *fitting) nearer(a, b gauge.Length) bool {
	da, db := w.twiceOff(a), w.twiceOff(b)
	return da < db || da == db && w.place.Choose.TieThicker
}

func (w *fitting) twiceOff(t gauge.Length) gauge.Length {
	twiceAim := 2 * *w.fit.Aim
	if w.place.Choose.Aim == procedure.AimMiddle || w.place.Choose.Aim == procedure.AimLikeliest {
		twiceAim = *w.fit.Window.Min + *w.fit.Window.Max
	}
	return (2*t - twiceAim).Abs()
}

// nothingFits names the nearest grades on both sides of the window, with the
// play that they would give, and what to check.
func (w *fitting) nothingFits() {
	if w.openBetween() {
		return
	}
	w.outcome = NothingFits
	for _, c := range w.fit.Candidates {
		if c.Fits {
			w.missed(c.Grade, "found.missed_fits")
		}
		if c.PassedOver.Equal(surelyPassedOver) {
			w.surelyOutside(compute.Pieces{c.Grade}, c.Worst, c.Probability)
		}
	}
	if w.unbounded() {
		w.nothingBelongs()
		return
	}
	for i := range w.fit.Candidates {
		c := &w.fit.Candidates[i]
		switch {
		case c.Thickness == nil || c.Fits || c.PassedOver.Equal(surelyPassedOver):
		case w.fit.Window.Min != nil && *c.Thickness <= *w.fit.Window.Min:
			w.fit.Thinner = c
		case w.fit.Thicker == nil && w.fit.Window.Max != nil && *c.Thickness >= *w.fit.Window.Max:
			w.fit.Thicker = c
		}
	}
	var beside []gauge.Length
	for _, c := range []*Candidate{w.fit.Thinner, w.fit.Thicker} {
		if c != nil {
			beside = append(beside, *c.Thickness)
		}
	}
	args := []gauge.Arg{w.P.Beside(*w.fit.Window, beside...).TellLimits("window", *w.fit.Window)}
	args = w.nextTo(args, "thinner", "thinner_play", w.fit.Thinner)
	args = w.nextTo(args, "thicker", "thicker_play", w.fit.Thicker)
	w.tell(FindingNothingFits, "found.nothing_fits", appendNested(args, "hint", w.slipped())...)
}
