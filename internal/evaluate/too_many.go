package evaluate

import (
	"gauged/internal/evaluate/combine"
)

// tooMany says that there are more combinations of the places than are tried.
func (s *split) tooMany() {
	for _, f := range s.fits {
		f.outcome = TooMany
	}
	s.find(FindingTooMany, "there are more than %d combinations of the places to try: lower within or the number of pieces in the procedure", combine.MostCombinations)
}

// tooManyPacks says that there are more packs at a place than are tried.
func (s *split) tooManyPacks(f *fitting) {
	for _, f := range s.fits {
		f.outcome = TooMany
	}
	f.find(FindingTooMany, "there are more than %d ways to stack the pieces of family %s to try: allow fewer pieces in the procedure, or fewer thicknesses", combine.MostWays, f.family.ID)
}
