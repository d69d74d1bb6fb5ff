package evaluate

import (
	"slices"

	"gauged/internal/evaluate/combine"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// split is what several places take together.
type split struct {
	*work
	fits   []*fitting
	search combine.Split
	chosen []combine.Option // of each place, as it was recommended first
}

// best is the best combination within a distance of the wanted total, of what the
// places aim at now.
func (s *split) best(within gauge.Length) (*combine.Combination, bool) {
	for i, f := range s.fits {
		s.search.Places[i].Aim = *f.fit.Aim
	}
	return s.search.Best(within)
}

// offer lists what can be had at a place. It reports false where nothing fits.
func (s *split) offer(f *fitting) bool {
	var list []combine.Option
	switch {
	case f.place.ToSize:
		list = f.sizes()
	case f.place.Choose.Pack != nil:
		var ok bool
		if list, ok = combine.Ways(f.family.Grades, *f.place.Choose.Pack, *f.fit.Window); !ok {
			s.tooManyPacks(f)
			return false
		}
		list = slices.DeleteFunc(list, func(o combine.Option) bool { return f.surelyPack(o.Pieces) })
		if f.place.Choose.None && f.inWindow(0) {
			list = append(list, combine.Option{Index: -1})
		}
		if len(list) == 0 {
			f.pack() // which names the nearest
		}
	default:
		f.joint = true
		f.list()
		for i, c := range f.fit.Candidates {
			if c.Fits && !c.Out() {
				list = append(list, combine.Option{Thickness: *c.Thickness, Pieces: []procedure.Grade{c.Grade}, Index: i})
			}
		}
		if len(list) == 0 {
			f.nothingFits()
		}
	}
	s.search.Places = append(s.search.Places, combine.Place{Family: f.place.Parts, Options: list, TieThicker: f.place.Choose.TieThicker})
	return len(list) > 0
}

// sizes are those to which a part may be made: the wanted one, or the whole
// steps on both sides of it.
func (w *fitting) sizes() []combine.Option {
	step, aim := w.place.Choose.Step, *w.fit.Aim
	if step == 0 {
		return []combine.Option{{Thickness: aim, Index: -1}}
	}
	var list []combine.Option
	below := aim / step * step
	for _, size := range []gauge.Length{below, below + step} {
		if (size > 0 || size == 0 && w.place.Choose.None) && (size >= aim || size == below) && w.inWindow(size) && (size != below+step || below != aim) {
			list = append(list, combine.Option{Thickness: size, Index: -1})
		}
	}
	if len(list) == 0 {
		w.outcome = NothingFits
		w.tell(FindingNothingFits, "found.no_step_fits", w.P.Tell("step", step), w.P.TellLimits("window", *w.fit.Window))
	}
	return list
}
