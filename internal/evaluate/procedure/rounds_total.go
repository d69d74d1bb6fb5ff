package procedure

import (
	"slices"

	"gauged/internal/evaluate/formula"
)

// keepTotal lets the next round want the total that the round before wanted, where the
// proof measures nothing of it anew: what the parts that are in make together would
// else pass for the wanted total, and each miss would make the next.
func (b *nextRound) keepTotal() error {
	together := b.first.Together
	if together == nil || together.Total == nil || b.r.Total == nil || b.anew(together.Total) {
		return nil
	}
	name := together.Total.String()
	i := slices.IndexFunc(b.p.Values, func(n Named) bool { return n.Name == name })
	c := Constant{Name: name, Title: "as it was wanted in the first round", Unit: b.p.Unit, of: formula.Length}
	if i >= 0 {
		if c.Title, c.Unit = b.p.Values[i].Title, b.p.Values[i].Unit; c.Title != "" {
			c.Title += ", as it was wanted in the first round"
		}
		b.p.Values = slices.Delete(slices.Clone(b.p.Values), i, i+1)
	} else if _, ok := b.p.Constant(name); ok {
		return nil
	} else {
		c.Name = b.name("total")
	}
	c.Value, c.Exact = *b.r.Total, formula.Exact(*b.r.Total, b.p.Unit)
	c.Text = Shortest(c.Value, b.p.Unit)
	b.p.Constants = append(b.p.Constants, c)
	b.p.Units[c.Name] = c.Unit
	b.scope[c.Name] = formula.Meaning{Of: formula.Length, Value: c.Exact}
	wanted, err := formula.Parse(c.Name, b.p.Unit, b.scope, &formula.Length)
	if err != nil {
		return err
	}
	kept := *together
	kept.Total = wanted
	b.p.Together = &kept
	return nil
}

// anew reports whether a formula needs a measurement that the proof measures for the
// next round.
func (b *nextRound) anew(x *formula.Expression) bool {
	return slices.ContainsFunc(x.Names(), func(name string) bool {
		if slices.ContainsFunc(b.first.Rounds.Next, func(f Follow) bool { return f.Name == name && b.measured(f.Of) }) {
			return true
		}
		return slices.ContainsFunc(b.first.FormulasOf(name), func(f Formula) bool { return b.anew(f.Expression) })
	})
}
