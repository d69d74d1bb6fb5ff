package compute

import (
	"maps"
	"math/big"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Toleranced lists the constants with a stated tolerance that a formula needs in
// the present case, in the order of the procedure, and the parts that are in.
func (j *Job) Toleranced(x *formula.Expression) []string {
	names := map[string]bool{}
	j.Reached(x, names)
	var list []string
	for _, c := range j.P.Constants {
		if names[c.Name] && c.Doubt.Tolerance != nil {
			list = append(list, c.Name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		for _, in := range j.Parts(name) {
			in.EachStated(func(called string, _ *big.Rat) {
				if !slices.Contains(list, called) {
					list = append(list, called)
				}
			})
		}
	}
	return list
}

// Worst is between which ends a formula lies, wherever its constants are within
// their stated tolerances, and its measurements within what a feeler leaves open;
// nil where no constant has a tolerance, or where it cannot be told.
func (j *Job) Worst(x *formula.Expression, u gauge.Unit) *procedure.Limits {
	if len(j.Toleranced(x)) == 0 {
		return nil
	}
	s := spreads{job: j, of: map[string]spread{}}
	result, err := s.node(x.Root)
	if err != nil {
		return nil
	}
	ends := result.open()
	least, err := formula.InUnit(ends.Low, u)
	if err != nil {
		return nil
	}
	most, err := formula.InUnit(ends.High, u)
	if err != nil {
		return nil
	}
	return &procedure.Limits{Min: &least, Max: &most}
}
