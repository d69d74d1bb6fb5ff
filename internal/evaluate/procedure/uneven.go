package procedure

import (
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// usualSteps is how often a step must stand in a family before another one
// stands out.
const usualSteps = 3

// unevenSteps looks for steps that stand alone between usual ones: a thickness
// that is not in the middle of its neighbours, as after a slip of the pen, and a
// row that seems to be missing. Steps of one last digit more or less come from
// rounding, as in a column that was converted.
func (r *familyReader) unevenSteps(v, accepted shopfile.Value) {
	if accepted.Given() && accepted.OneOf("even", "uneven") == "uneven" {
		return
	}
	if !v.IsList() {
		return // reported already
	}
	var at []shopfile.Value
	var all []gauge.Length
	digit := gauge.Length(1)
	for i, row := range v.List() {
		if i >= len(r.f.Grades) || r.f.Grades[i].Thickness == nil {
			return
		}
		thickness := row.Map().Get("thickness")
		at, all = append(at, thickness), append(all, *r.f.Grades[i].Thickness)
		digit = max(digit, r.lastDigit(thickness))
	}
	s := steps{of: all}
	if !s.findUsual() {
		return
	}
	u := r.f.Unit
	for i := range len(all) - 1 {
		if s.near(i) {
			continue
		}
		step := all[i+1] - all[i]
		switch {
		case (i == 0 || s.near(i-1)) && i+2 < len(all) && !s.near(i+1) && all[i+2]-all[i] == 2*s.usual:
			r.slip(at[i+1], gauge.Say("entry.uneven-between", shortest("is", all[i+1], u), shortest("before", all[i], u), shortest("after", all[i+2], u), shortest("step", s.usual, u), shortest("would", all[i]+s.usual, u)))
		case (step-s.usual).Abs() > digit && (i == 0 || s.near(i-1)) && (i+2 == len(all) || s.near(i+1)):
			r.slip(at[i+1], gauge.Say("entry.uneven-step", shortest("from", all[i], u), shortest("to", all[i+1], u), shortest("step", step, u), shortest("usual", s.usual, u)))
		}
	}
}

// farOff looks for a thickness in another unit than the rows around it, such as 1500
// among 1.7 and 1.9 mm. Two rows alone do not say which of them it is: the thicker one.
// In rising order such a row may be printed so, which accepted says.
func (r *familyReader) farOff(v shopfile.Value, accepted bool) {
	if !v.IsList() {
		return // reported already
	}
	var at []shopfile.Value
	var all []gauge.Length
	for i, row := range v.List() {
		if i >= len(r.f.Grades) || r.f.Grades[i].Thickness == nil || *r.f.Grades[i].Thickness <= 0 || r.f.Grades[i].Serves.Limited() {
			return
		}
		at, all = append(at, row.Map().Get("thickness")), append(all, *r.f.Grades[i].Thickness)
	}
	u := r.f.Unit
	for i := 0; i+1 < len(all); i++ {
		falls := all[i+1] < all[i]
		if !apart(all[i], all[i+1]) || !falls && !apart(all[i], all[i+1]/10) {
			continue
		}
		odd, beside := i+1, i
		switch {
		case i > 0 && !apart(all[i-1], all[i]): // the rows above agree
		case i+2 < len(all) && !apart(all[i], all[i+2]): // the rows around it agree
		case i+2 < len(all) && !apart(all[i+1], all[i+2]), falls:
			odd, beside = i, i+1
		}
		args := []gauge.Arg{shortest("is", all[odd], u), shortest("beside", all[beside], u), gauge.Text("unit", u.String())}
		if u == gauge.Millimetre && !apart(all[odd]/1000, all[beside]) {
			args = append(args, shortest("meant", all[odd]/1000, u), shortest("written", all[odd]/1000, gauge.Micrometre))
		}
		far := gauge.Say("entry.far-off", args...)
		switch {
		case falls:
			at[odd].Wrong(gauge.Say("entry.far-off-falls", gauge.Nested("far", far)))
		case !accepted:
			r.slip(at[odd], far)
		}
		i++ // the row after it is not odd for it
	}
}

// apart reports whether one of two thicknesses is at least eight times the other, which
// neighbours of a family are not.
func apart(a, b gauge.Length) bool { return max(a, b)/8 >= min(a, b) }

func (r *familyReader) slip(at shopfile.Value, m gauge.Message) {
	r.f.slips = append(r.f.slips, shopfile.ProblemAt(at.Position(), gauge.Say("entry.uneven", gauge.Nested("what", m))))
}

// lastDigit is the size of the last digit that a thickness, or an end of its
// range, is written with.
func (r *familyReader) lastDigit(v shopfile.Value) gauge.Length {
	decimals := v.Decimals()
	if v.IsMap() {
		m := v.Map()
		decimals = max(m.Get(r.f.Unit.String()).Decimals(), m.Get("min").Decimals())
	}
	digit := r.f.Unit.Size()
	for range min(decimals, 9) {
		digit /= 10
	}
	return digit
}

// steps are thicknesses in rising order.
type steps struct {
	of    []gauge.Length
	usual gauge.Length
}

// findUsual finds the step that most of them have, if there is one.
func (s *steps) findUsual() bool {
	for i := range len(s.of) - 1 {
		s.usual = s.of[i+1] - s.of[i]
		count := 0
		for j := range len(s.of) - 1 {
			if s.near(j) {
				count++
			}
		}
		if count >= usualSteps && 2*count > len(s.of)-1 {
			return true
		}
	}
	return false
}

// near reports whether the step after a thickness is the usual one.
func (s *steps) near(i int) bool {
	return i >= 0 && i+1 < len(s.of) && s.of[i+1]-s.of[i] == s.usual
}
