package rounds

import (
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// keepTotal lets the next round want the total that the first round wanted, where the
// proof measures nothing of it anew: what the parts that are in make together would
// else pass for the wanted total, and each miss would make the next. The readings that
// made it stay, under names such as left_trial_1, and so do their gauges: the total is
// as uncertain in each round as it was in the first, and the same rule decides.
func (b *nextRound) keepTotal() error {
	together := b.first.Together
	if together == nil || together.Total == nil || b.r.Total == nil || b.anew(together.Total) {
		return nil
	}
	b.total = map[string]string{}
	var measured []procedure.Step
	for _, s := range b.first.Measure {
		if b.follows(s.Name) && b.reaches(together.Total, s.Name) {
			s.Name, s.Round, s.Drawing = b.keep(s.Name, s.Unit), 1, nil
			measured = append(measured, s)
		}
	}
	b.p.Measure = append(measured, b.p.Measure...)
	total := together.Total.String()
	var values []procedure.Named
	for _, n := range b.p.Values {
		b.scope[n.Name] = formula.Meaning{Of: n.Formulas[0].Expression.Of}
		switch {
		case n.Name == total:
			if n.Title != "" {
				n.Title += ", as it was wanted in the first round"
			}
			if err := b.keepFormulas(&n); err != nil {
				return err
			}
		case b.reaches(together.Total, n.Name) && slices.ContainsFunc(b.first.FormulasOf(n.Name), func(f procedure.Formula) bool { return b.keeps(f.Expression) }):
			kept := n
			kept.Name = b.keep(n.Name, n.Unit)
			if err := b.keepFormulas(&kept); err != nil {
				return err
			}
			values = append(values, kept)
		}
		values = append(values, n)
	}
	b.p.Values = values
	wanted, err := b.keptFormula(together.Total)
	if err != nil {
		return err
	}
	kept := *together
	kept.Total = wanted
	b.p.Together = &kept
	return nil
}

// keep gives what makes the kept total a name that is the same in each later round.
func (b *nextRound) keep(old string, u gauge.Unit) string {
	name := old + "_1"
	for _, taken := b.first.Units[name]; taken; _, taken = b.first.Units[name] {
		name += "_"
	}
	b.total[old], b.p.Units[name] = name, u
	b.scope[name] = b.scope[old]
	return name
}

// keeps reports whether a formula uses what was given a name of its own for the total.
func (b *nextRound) keeps(x *formula.Expression) bool {
	return slices.ContainsFunc(x.Names(), func(name string) bool { _, ok := b.total[name]; return ok })
}

func (b *nextRound) keepFormulas(n *procedure.Named) error {
	n.Formulas = slices.Clone(n.Formulas)
	for i, f := range n.Formulas {
		x, err := b.keptFormula(f.Expression)
		if err != nil {
			return err
		}
		n.Formulas[i].Expression = x
	}
	return nil
}

// keptFormula is a formula of the first round in the names of the kept total.
func (b *nextRound) keptFormula(x *formula.Expression) (*formula.Expression, error) {
	return formula.Parse(renamed(x, b.total), b.p.Unit, b.scope, &x.Of)
}

// reaches reports whether a formula of the first round needs a name, itself or through
// values.
func (b *nextRound) reaches(x *formula.Expression, name string) bool {
	return slices.ContainsFunc(x.Names(), func(used string) bool {
		return used == name || slices.ContainsFunc(b.first.FormulasOf(used), func(f procedure.Formula) bool { return b.reaches(f.Expression, name) })
	})
}

// follows reports whether the next round does not measure something again.
func (b *nextRound) follows(name string) bool {
	return slices.ContainsFunc(b.first.Rounds.Next, func(f procedure.Follow) bool { return f.Name == name })
}

// anew reports whether a formula needs a measurement that the proof measures for the
// next round.
func (b *nextRound) anew(x *formula.Expression) bool {
	return slices.ContainsFunc(b.first.Rounds.Next, func(f procedure.Follow) bool { return b.measured(f.Of) && b.reaches(x, f.Name) })
}
