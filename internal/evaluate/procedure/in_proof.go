package procedure

import (
	"gauged/internal/evaluate/formula"
)

// InProof lists the measurements that the verdict of a proven unit follows from: those
// after fitting, those of its limits, and those of results that are judged by
// themselves. Every other one only chose the part: an error of it is in no result that
// the proof judges. Nil where nothing is measured after fitting.
func (p *Procedure) InProof() map[string]bool {
	if len(p.Verify) == 0 {
		return nil
	}
	in := map[string]bool{}
	add := func(expressions ...*formula.Expression) {
		for _, x := range expressions {
			if x != nil {
				for _, name := range p.StepsOf(x) {
					in[name] = true
				}
			}
		}
	}
	judges := func(all []Judge) {
		for _, j := range all {
			in[j.Name] = true // where the result is a measurement itself
			for _, name := range p.StepsOfJudge(j) {
				in[name] = true
			}
		}
	}
	for _, s := range p.Verify {
		in[s.Name] = true
	}
	judges(p.Judge)
	judges(p.Proof)
	add(p.VerifyPlay)
	for _, place := range p.EachPlace() {
		add(place.Allowed.MinOf, place.Allowed.MaxOf)
	}
	if p.Temperature != nil {
		add(p.Temperature.Of)
	}
	return in
}

// StepsOfJudge lists the measurements that a judged result and its limits follow from; the
// result itself, where it is a measurement, is not among them.
func (p *Procedure) StepsOfJudge(j Judge) (names []string) {
	for _, f := range j.Formulas {
		if f.Expression != nil {
			names = append(names, p.StepsOf(f.Expression)...)
		}
	}
	for _, x := range []*formula.Expression{j.Limits.MinOf, j.Limits.MaxOf} {
		if x != nil {
			names = append(names, p.StepsOf(x)...)
		}
	}
	return names
}
