package evaluate

import (
	"gauged/internal/evaluate/combine"
	"gauged/internal/gauge"
)

// tooMany says that there are more combinations of the places than are tried.
func (s *split) tooMany() {
	for _, f := range s.fits {
		f.outcome = TooMany
	}
	s.tell(FindingTooMany, "found.too_many_combinations", gauge.Count("most", combine.MostCombinations))
}

// tooManyPacks says that there are more packs at a place than are tried.
func (s *split) tooManyPacks(f *fitting) {
	for _, f := range s.fits {
		f.outcome = TooMany
	}
	f.tell(FindingTooMany, "found.too_many_packs", gauge.Count("most", combine.MostWays), gauge.Text("family", f.family.ID))
}
