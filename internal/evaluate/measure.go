package evaluate

import (
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/evaluate/suspect"
	"gauged/internal/gauge"
)

// complete is the outcome of measuring when nothing is missing; it is never
// the outcome of an evaluation.
const complete Outcome = ""

// measure works out each step from its readings and says whether the next
// stage may begin. A step that does not apply in the present case is left out.
func (w *work) measure(steps []procedure.Step, after bool) Outcome {
	outcome := complete
	for _, s := range steps {
		if !w.Applies(s) {
			continue
		}
		m := Measurement{Name: s.Name, Repeats: s.Repeats, Agree: s.Agree, Unit: s.Unit, After: after}
		for _, r := range w.In.Readings {
			if r.Measurement == s.Name {
				m.Readings = append(m.Readings, r)
			}
		}
		again := w.step(s, &m)
		w.e.Measurements = append(w.e.Measurements, m)
		switch {
		case again:
			outcome = MeasureAgain
		case !m.Complete && outcome == complete:
			outcome = Measuring
		}
	}
	return outcome
}

// step fills in the statistics of one measurement and reports whether its
// readings cannot be believed.
func (w *work) step(s procedure.Step, m *Measurement) (again bool) {
	counting := w.counting(s, m)
	if len(counting) == 0 {
		return false
	}
	if len(s.Codes) > 0 {
		return w.readMarks(s, m, counting)
	}
	again = w.implausible(s, counting)
	lows, highs := make([]gauge.Length, len(counting)), make([]gauge.Length, len(counting))
	middles := make([]gauge.Length, len(counting))
	intervals := false
	for i, r := range counting {
		lows[i], highs[i] = r.Value, r.Highest()
		middles[i] = gauge.Mean(lows[i], highs[i])
		intervals = intervals || r.Upper != nil
	}
	value := compute.Taken(s, middles)
	m.Value = &value
	w.V.Of[s.Name] = formula.Exact(value, s.Unit)
	w.V.Readings[s.Name] = formula.Readings{Of: middles, Unit: s.Unit}
	if intervals {
		w.openStep(s, m, lows, highs)
	}
	again = w.unfelt(s, lows) || again
	again = w.scatter(s, m, middles) || again
	m.Complete = len(counting) >= s.Repeats && !again
	return again
}

// counting returns the readings that count, in the step's unit.
func (w *work) counting(s procedure.Step, m *Measurement) []procedure.Reading {
	var counting []procedure.Reading
	for _, r := range m.Readings {
		if r.Discarded == "" {
			counting = append(counting, s.Taken(r))
		}
	}
	return counting
}

// readMarks takes up which mark was read; repeats must be the same.
func (w *work) readMarks(s procedure.Step, m *Measurement, counting []procedure.Reading) (again bool) {
	m.Mark = counting[0].Shown
	for _, r := range counting[1:] {
		if r.Shown != m.Mark {
			w.tell(FindingDisagree, "found.marks_disagree", gauge.Text("step", s.Name), gauge.Text("mark", m.Mark), gauge.Text("other", r.Shown))
			return true
		}
	}
	w.V.Marks[s.Name] = m.Mark
	if m.Mark == procedure.Unreadable && s.Unreadable != nil {
		w.findUnreadable(s)
	}
	for _, c := range s.Codes {
		if c.Mark == m.Mark && c.Value != nil {
			m.Value = c.Value
			w.V.Of[s.Name] = formula.Exact(*c.Value, s.Unit)
		}
	}
	m.Complete = len(counting) >= s.Repeats
	return false
}

func (w *work) findUnreadable(s procedure.Step) {
	w.tell(FindingUnreadable, "found.mark_unreadable", gauge.Text("step", s.Name), w.P.TellIn("value", *s.Unreadable, s.Unit))
}

// implausible points out readings that the step cannot give.
func (w *work) implausible(s procedure.Step, counting []procedure.Reading) (again bool) {
	for _, r := range counting {
		if r.Shown == procedure.Unreadable {
			w.findUnreadable(s)
			continue
		}
		if s.Plausible.Contains(r.Value) && s.Plausible.Contains(r.Highest()) {
			continue
		}
		again = true
		w.tell(FindingImplausible, "found.implausible", gauge.Text("step", s.Name), gauge.Shown("value", gauge.Digits(r.Shown, r.Unit), r.Unit), w.P.TellLimitsIn("limits", s.Plausible, s.Unit))
	}
	return again
}

// scatter compares the repeats with each other.
func (w *work) scatter(s procedure.Step, m *Measurement, readings []gauge.Length) (again bool) {
	if len(readings) < 2 {
		return false
	}
	spread := compute.Statistic(procedure.TakeRange, readings)
	m.Spread = &spread
	if apart, several := suspect.RangeApart(w.Job, s); several && !w.In.AnyZero {
		w.point(FindingTwoZeros, apart)
		again = true
	}
	if closing := (readings[len(readings)-1] - readings[0]).Abs(); s.Closes != nil && len(readings) >= s.Repeats && closing > *s.Closes {
		w.tell(FindingNotClosed, "found.not_closed", append(w.P.TellMost("off", closing, *s.Closes, s.Unit), gauge.Text("step", s.Name))...)
		again = true
	}
	agree := s.Agree != nil && spread <= *s.Agree
	if s.Agree != nil && !agree {
		again = true
		w.tell(FindingDisagree, "found.disagree", append(w.P.TellMost("spread", spread, *s.Agree, s.Unit), gauge.Text("step", s.Name))...)
	}
	if !s.Take.OfExtremes() {
		w.suspicions(s, m, readings, agree)
	}
	return again
}

// openStep takes up a measurement whose readings are intervals, and every
// statistic of them that a formula may ask for.
func (w *work) openStep(s procedure.Step, m *Measurement, lows, highs []gauge.Length) {
	low, high := compute.Taken(s, lows), compute.Taken(s, highs)
	if s.Take == procedure.TakeRange {
		low, high = ranges(lows, highs)
	}
	m.Between = &procedure.Limits{Min: &low, Max: &high}
	w.Open[formula.Taken{Step: s.Name}] = formula.Interval{Low: formula.Exact(low, s.Unit), High: formula.Exact(high, s.Unit)}
	allLow, allHigh := formula.Readings{Of: lows, Unit: s.Unit}.Exact(), formula.Readings{Of: highs, Unit: s.Unit}.Exact()
	for _, take := range []procedure.Take{procedure.TakeMean, procedure.TakeMedian, procedure.TakeSmallest, procedure.TakeLargest} {
		w.Open[formula.Taken{Step: s.Name, Take: string(take)}] = formula.Interval{Low: formula.Statistic(string(take), allLow), High: formula.Statistic(string(take), allHigh)}
	}
	narrowest, widest := ranges(lows, highs)
	w.Open[formula.Taken{Step: s.Name, Take: string(procedure.TakeRange)}] = formula.Interval{Low: formula.Exact(narrowest, s.Unit), High: formula.Exact(widest, s.Unit)}
}

// ranges is between which ends the range of intervals lies.
func ranges(lows, highs []gauge.Length) (narrowest, widest gauge.Length) {
	return max(0, slices.Max(lows)-slices.Min(highs)), slices.Max(highs) - slices.Min(lows)
}

// outlierLevel is how often readings without an outlier are said to have one.
const outlierLevel = 0.01

// suspicions points out what the repeats say about how they were taken.
// Readings that agree as the procedure wants have no outliers of interest.
func (w *work) suspicions(s procedure.Step, m *Measurement, readings []gauge.Length, agree bool) {
	var resolution, usual gauge.Length
	a := w.Ability(s)
	if a.Resolution != nil {
		resolution = compute.InStep(*a.Resolution, a.Unit, s.Unit)
	}
	if a.Repeats != nil {
		usual = compute.InStep(a.Repeats.Deviation, a.Unit, s.Unit)
	}
	value := func(name string, l gauge.Length) gauge.Arg { return w.P.TellIn(name, l, s.Unit) }
	named := gauge.Text("step", s.Name)
	if !agree {
		step := resolution
		if a.Resolution == nil {
			step = shownStep(s, m.Readings)
		}
		for _, i := range suspect.Outliers(readings, step, s.Outliers, outlierLevel) {
			w.tell(FindingOutlier, "found.outlier", named, value("value", readings[i]), gauge.Text("test", string(s.Outliers)))
		}
		if args, ok := suspect.FallingFirst(readings, resolution, usual, value); ok {
			w.tell(FindingUnseated, "found.falling_first", append(args, named)...)
		}
	}
	if own, _, more := w.doubts.ScatterOf(s, readings); more {
		w.tell(FindingScatter, "found.scatter_larger", named, value("own", doubt.ThreeDigits(own.SD)), value("usual", usual))
	}
	if args, ok := suspect.Identical(readings, resolution, usual, value); ok {
		w.tell(FindingIdentical, "found.identical_repeats", append(args, named)...)
	}
}

// shownStep is the last digit that the readings of a step show, which stands for the
// display step of a gauge of which none is stated.
func shownStep(s procedure.Step, readings []procedure.Reading) (step gauge.Length) {
	for _, r := range readings {
		_, decimals, _ := strings.Cut(gauge.Digits(r.Shown, r.Unit), ".")
		last := "1"
		if len(decimals) > 0 {
			last = "0." + strings.Repeat("0", len(decimals)-1) + "1"
		}
		digit, err := gauge.ParseLength(last, r.Unit)
		if err != nil {
			continue
		}
		if digit = compute.InStep(digit, r.Unit, s.Unit); step == 0 || digit < step {
			step = digit
		}
	}
	return step
}
