package evaluate

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
)

// outsideTables lists where what is plausible does not go together with the tables that
// are looked up: keys that lie outside, and rows and columns that are never reached.
func (p *Procedure) outsideTables() (notes []string) {
	w := withoutParts(p, Input{})
	w.chainConstants()
	for _, s := range slices.Concat(p.Measure, p.Verify) {
		if low, high := s.Plausible.Min, s.Plausible.Max; low != nil && high != nil && s.Take != TakeRange && len(s.Codes) == 0 {
			w.open[openKey{step: s.Name}] = openValue{exact(*low, s.Unit), exact(*high, s.Unit)}
		}
	}
	r := reaching{w: w, of: map[tableAxis]*reached{}}
	for _, x := range p.everyFormula() {
		r.look(x.root)
	}
	for _, axis := range slices.SortedFunc(maps.Keys(r.of), func(a, b tableAxis) int {
		return strings.Compare(fmt.Sprint(a.table.Name, a.key), fmt.Sprint(b.table.Name, b.key))
	}) {
		notes = append(notes, r.of[axis].notes(axis)...)
	}
	return notes
}

// everyFormula lists every formula of a procedure.
func (p *Procedure) everyFormula() []*Expression {
	all := p.formulas()
	for _, named := range p.Proven {
		for _, f := range named.Formulas {
			all = append(all, f.Expression)
		}
	}
	for _, j := range p.Proof {
		for _, f := range j.Formulas {
			all = append(all, f.Expression)
		}
	}
	if p.VerifyPlay != nil {
		all = append(all, p.VerifyPlay)
	}
	return slices.DeleteFunc(all, func(x *Expression) bool { return x == nil })
}

// tableAxis is the rows or the columns of a table.
type tableAxis struct {
	table *Table
	key   int
}

// reached is what an axis is looked up by, in all formulas.
type reached struct {
	spans   []openValue
	marks   []string
	unknown bool // somewhere nothing says between which ends the key is
}

type reaching struct {
	w  *work
	of map[tableAxis]*reached
}

// look finds the tables that a part of a formula looks up.
func (r *reaching) look(n *node) {
	for _, arg := range n.args {
		r.look(arg)
	}
	if n.op != opCall || n.table == nil || n.table.digits != nil {
		return
	}
	for i := range n.table.Keys {
		axis := tableAxis{n.table, i}
		at := r.of[axis]
		if at == nil {
			at = &reached{}
			r.of[axis] = at
		}
		if n.table.Keys[i].Marks {
			s, _, _ := r.w.p.Step(n.args[i].name)
			for _, c := range s.Codes {
				at.marks = append(at.marks, c.Mark)
			}
			continue
		}
		span, err := (&ender{r.w, map[string]openValue{}}).ends(n.args[i])
		if at.unknown = at.unknown || err != nil; err == nil {
			at.spans = append(at.spans, span)
		}
	}
}

// notes says of one axis what lies outside, and which rows are never reached.
func (at *reached) notes(axis tableAxis) (notes []string) {
	k := &axis.table.Keys[axis.key]
	what, line := "row", k.Name
	if axis.key == 1 {
		what = "column"
	}
	first, last := k.low[0], k.high[len(k.high)-1]
	for _, span := range at.spans {
		if first != nil && k.inSteps(span.low).Cmp(first) < 0 || last != nil && k.inSteps(span.high).Cmp(last) > 0 {
			notes = append(notes, fmt.Sprintf("table %s: %s may be from %s to %s by what is plausible, and the table goes from %s to %s; what is outside is refused, to be measured again", axis.table.Name, line, k.show(span.low), k.show(span.high), k.Texts[0], k.Texts[len(k.Texts)-1]))
		}
	}
	var never []string
	for row, text := range k.Texts {
		if !at.reaches(k, row, axis.table.Mode) {
			never = append(never, text)
		}
	}
	if len(never) > 0 && !at.unknown && len(at.spans)+len(at.marks) > 0 {
		notes = append(notes, fmt.Sprintf("table %s: nothing plausible reaches the %s %s of %s", axis.table.Name, what, strings.Join(never, ", "), line))
	}
	return notes
}

// inSteps is a key as it is looked up.
func (k *TableKey) inSteps(x *big.Rat) *big.Rat {
	if k.step == nil {
		return x
	}
	return rounded(toEven, x, k.step)
}

// reaches reports whether a row, or the straight line beside it, may be looked up.
func (at *reached) reaches(k *TableKey, row int, mode TableMode) bool {
	if k.Marks {
		return slices.Contains(at.marks, k.Texts[row])
	}
	low, high := k.low[row], k.high[row]
	if mode == TableInterpolate {
		low, high = k.low[max(row-1, 0)], k.high[min(row+1, len(k.high)-1)]
	}
	return slices.ContainsFunc(at.spans, func(span openValue) bool {
		return (low == nil || k.inSteps(span.high).Cmp(low) >= 0) && (high == nil || k.inSteps(span.low).Cmp(high) <= 0)
	})
}

// hasStep reports whether a whole step lies between two ends, which are served too.
func hasStep(low, high, step *big.Rat) bool {
	if low == nil || high == nil {
		return true
	}
	return rounded(upwards, low, step).Cmp(high) <= 0
}
