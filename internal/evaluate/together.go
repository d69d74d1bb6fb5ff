package evaluate

import (
	"fmt"
	"slices"

	"gauged/internal/evaluate/combine"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Total is what the parts of places that are chosen together make.
type Total struct {
	Wanted    gauge.Length  `json:"wanted"`
	Within    gauge.Length  `json:"within"`
	Thickness *gauge.Length `json:"thickness,omitempty"` // of the recommended parts; nil for none
	Why       gauge.Message `json:"why,omitzero"`
}

// allTogether chooses the parts of all places by their sum and their split.
// Where another part was fitted than the recommended one, the places that are
// still open are chosen again around it.
func (w *work) allTogether(fits []*fitting) error {
	wanted, possible := gauge.Length(0), true
	for _, f := range fits {
		ok, err := f.target()
		if err != nil {
			return fmt.Errorf("%s%w", f.place.Prefix(), err)
		}
		if possible = possible && ok; ok {
			wanted += *f.fit.Aim
		}
	}
	if !possible {
		return nil
	}
	if x := w.P.Together.Total; x != nil {
		var err error
		if wanted, err = w.sum(totalOfPlaces, w.P.Unit, x); err != nil {
			return err
		}
	}
	s := &split{work: w, fits: fits, search: combine.Split{Wanted: wanted, SplitFirst: w.P.Together.SplitFirst}}
	for _, f := range fits {
		if !s.offer(f) {
			return nil
		}
	}
	within := s.within()
	w.e.Together = &Total{Wanted: wanted, Within: within}
	if !s.choose(within) {
		return nil
	}
	took := map[stockKey][]string{}
	for _, f := range fits {
		f.took = took
		f.takeOut(f.place, f.fit.pieces())
	}
	for _, f := range s.inOrder() {
		f.whatWasFitted() // beside what is recommended with the parts that are in already
		s.around(within)
	}
	return nil
}

// inOrder are the places that were fitted, in the order in which they were.
func (s *split) inOrder() (fitted []*fitting) {
	for _, in := range s.In.Fitted {
		for _, f := range s.fits {
			if f.place.Name == in.Place && !slices.Contains(fitted, f) {
				fitted = append(fitted, f)
			}
		}
	}
	return fitted
}

// within is how much the total may be off.
func (s *split) within() gauge.Length {
	if t := s.P.Together.Within; t != nil {
		return *t
	}
	var widest gauge.Length
	for _, f := range s.fits {
		step := f.place.Choose.Step
		if f.family != nil {
			step = stepAround(f.family, *f.fit.Aim)
		}
		widest = max(widest, step)
	}
	return widest / 2
}

// stepAround is the step between the two grades around a thickness, or the step
// of the end that it is past; 0 for a family of one.
func stepAround(f *procedure.Family, t gauge.Length) gauge.Length {
	for i := 1; i < len(f.Grades); i++ {
		if *f.Grades[i].Thickness >= t || i == len(f.Grades)-1 {
			return *f.Grades[i].Thickness - *f.Grades[i-1].Thickness
		}
	}
	return 0
}

// choose takes the best split and reports whether there is one.
func (s *split) choose(within gauge.Length) bool {
	best, ok := s.best(within)
	switch {
	case !ok:
		s.tooMany()
		return false
	case best == nil:
		s.noSplit(within)
		return false
	}
	s.chosen = best.Options
	for i, f := range s.fits {
		s.apply(f, best.Options[i])
	}
	s.settled(best)
	return true
}

// settled writes down what the parts make together.
func (s *split) settled(best *combine.Combination) {
	s.e.Together.Thickness, s.e.Together.Why = &best.Total, s.why(best)
}

// around chooses the open places again where another thickness was fitted than
// the recommended one.
func (s *split) around(within gauge.Length) {
	other, open := false, false
	for i, f := range s.fits {
		fitted := f.fit.Fitted
		if fitted == nil || fitted.Thickness == nil {
			open = open || fitted == nil
			continue
		}
		in := combine.Option{Thickness: *fitted.Thickness, Pieces: s.chosen[i].Pieces, Index: -1}
		if f.family != nil {
			if pieces, unknown := f.family.PiecesOf(fitted.Part); len(unknown) == 0 {
				in.Pieces = pieces
			}
		}
		other = other || in.Thickness != s.chosen[i].Thickness
		s.search.Places[i].Options, s.chosen[i] = []combine.Option{in}, in
	}
	if !other || !open {
		return
	}
	best, ok := s.best(within)
	if !ok || best == nil {
		s.e.Together.Thickness, s.e.Together.Why = nil, gauge.Message{}
		s.noSplit(within)
		return
	}
	s.chosen = best.Options
	for i, f := range s.fits {
		if f.fit.Fitted == nil {
			s.apply(f, best.Options[i])
		}
	}
	s.settled(best)
}

func (w *fitting) gradeOf(part string) (procedure.Grade, bool) {
	if w.family == nil {
		return procedure.Grade{}, false
	}
	return w.family.Grade(part)
}

// apply settles a place on its part of the split.
func (s *split) apply(f *fitting, o combine.Option) {
	f.outcome = FitPart
	switch {
	case o.Thickness == 0 && o.Index < 0:
		f.takeNone(gauge.Say("why.together"))
	case f.place.ToSize:
		t := o.Thickness
		f.fit.Aim, f.fit.Why = &t, gauge.Say("why.together")
	case f.place.Choose.Pack != nil:
		f.fit.Pack = f.packOf(slices.Clone(o.Pieces), o.Thickness)
		f.fit.Why = f.splitWhy(o)
		f.doubtfulPack()
	default:
		f.fit.Choice, f.fit.Thinner, f.fit.Thicker = nil, nil, nil
		f.choose(o.Index)
		f.fit.Why = f.splitWhy(o)
		f.doubtful()
	}
}

func (w *fitting) splitWhy(o combine.Option) gauge.Message {
	off := o.Thickness - *w.fit.Aim
	return gauge.Sentences(gauge.Say("why.split", w.P.Tell("aim", *w.fit.Aim), w.P.Tell("off", off.Abs())), w.gives(o.Thickness))
}

// why says how good the total is, and what decided.
func (s *split) why(best *combine.Combination) gauge.Message {
	key, tied := "why.total_first", gauge.Message{}
	if s.P.Together.SplitFirst {
		key = "why.split_first"
	}
	if best.Tied != nil {
		tied = gauge.Say("why.as_good", s.named("others", best.Tied), gauge.Text("place", s.fits[best.TiedAt].place.Name))
	}
	return gauge.Sentences(gauge.Say(key, s.P.Tell("total", best.Total), s.P.Tell("wanted", s.search.Wanted)), tied)
}

// named lists the parts of a combination.
func (s *split) named(name string, options []combine.Option) gauge.Arg {
	all := make([]gauge.Arg, len(options))
	for i, o := range options {
		all[i] = gauge.Nested("", gauge.Say("place.thickness", gauge.Text("place", s.fits[i].place.Name), s.P.Tell("thickness", o.Thickness)))
	}
	return gauge.List(name, all...)
}

// noSplit names the nearest totals on both sides.
func (s *split) noSplit(within gauge.Length) {
	for _, f := range s.fits {
		if f.fit.Fitted == nil {
			f.outcome, f.fit.Choice, f.fit.Pack = NothingFits, nil, nil
		}
		for _, c := range f.fit.Candidates {
			if c.Fits && c.Out() {
				f.missed(c.Grade, "found.missed_fits")
			}
		}
	}
	s.wantedTwice()
	args := []gauge.Arg{s.P.Tell("wanted", s.search.Wanted), s.P.Tell("within", within)}
	if c := s.search.Below; c != nil {
		args = append(args, s.P.Tell("below", c.Total), s.named("below_parts", c.Options))
	}
	if c := s.search.Above; c != nil {
		args = append(args, s.P.Tell("above", c.Total), s.named("above_parts", c.Options))
	}
	s.tell(FindingNothingFits, "found.no_split", args...)
}
