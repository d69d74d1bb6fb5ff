package vet

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// outsideTables lists where what is plausible does not go together with the tables that
// are looked up: keys that lie outside, and rows and columns that are never reached.
func outsideTables(p *procedure.Procedure) (notes []gauge.Message) {
	w := compute.New(p, compute.Input{})
	w.TakeConstants()
	for _, s := range slices.Concat(p.Measure, p.Verify) {
		if low, high := s.Plausible.Min, s.Plausible.Max; low != nil && high != nil && s.Take != procedure.TakeRange && len(s.Codes) == 0 {
			w.Open[formula.Taken{Step: s.Name}] = formula.Interval{Low: formula.Exact(*low, s.Unit), High: formula.Exact(*high, s.Unit)}
		}
	}
	r := reaching{w: w, of: map[tableAxis]*reached{}}
	for _, x := range p.EveryFormula() {
		r.look(x.Root)
	}
	for _, axis := range slices.SortedFunc(maps.Keys(r.of), func(a, b tableAxis) int {
		return strings.Compare(fmt.Sprint(a.table.Name, a.key), fmt.Sprint(b.table.Name, b.key))
	}) {
		notes = append(notes, r.of[axis].notes(axis)...)
	}
	return notes
}

// tableAxis is the rows or the columns of a table.
type tableAxis struct {
	table *formula.Table
	key   int
}

// reached is what an axis is looked up by, in all formulas.
type reached struct {
	spans   []formula.Interval
	marks   []string
	unknown bool // somewhere nothing says between which ends the key is
}

type reaching struct {
	w  *compute.Job
	of map[tableAxis]*reached
}

// look finds the tables that a part of a formula looks up.
func (r *reaching) look(n *formula.Node) {
	for _, arg := range n.Args {
		r.look(arg)
	}
	if n.Op != formula.OpCall || n.Table == nil || n.Table.Mode == formula.TableDigits {
		return
	}
	for i := range n.Table.Keys {
		axis := tableAxis{n.Table, i}
		at := r.of[axis]
		if at == nil {
			at = &reached{}
			r.of[axis] = at
		}
		if n.Table.Keys[i].Marks {
			s, _, _ := r.w.P.Step(n.Args[i].Name)
			for _, c := range s.Codes {
				at.marks = append(at.marks, c.Mark)
			}
			continue
		}
		span, err := r.w.Ends(n.Args[i])
		if at.unknown = at.unknown || err != nil; err == nil {
			at.spans = append(at.spans, span)
		}
	}
}

// notes says of one axis what lies outside, and which rows are never reached.
func (at *reached) notes(axis tableAxis) (notes []gauge.Message) {
	k := &axis.table.Keys[axis.key]
	table, key := gauge.Text("table", axis.table.Name), gauge.Text("key", k.Name)
	first, last := k.Low[0], k.High[len(k.High)-1]
	for _, span := range at.spans {
		if first != nil && k.InSteps(span.Low).Cmp(first) < 0 || last != nil && k.InSteps(span.High).Cmp(last) > 0 {
			notes = append(notes, gauge.Say("note.table-outside", table, key, gauge.Typed("low", k.Show(span.Low)), gauge.Typed("high", k.Show(span.High)), gauge.Text("first", k.Texts[0]), gauge.Text("last", k.Texts[len(k.Texts)-1])))
		}
	}
	var never []string
	for row, text := range k.Texts {
		if !at.reaches(k, row, axis.table.Mode) {
			never = append(never, text)
		}
	}
	if len(never) > 0 && !at.unknown && len(at.spans)+len(at.marks) > 0 {
		code := "note.rows-never"
		if axis.key == 1 {
			code = "note.columns-never"
		}
		notes = append(notes, gauge.Say(code, table, key, gauge.Texts("never", never)))
	}
	return notes
}

// reaches reports whether a row, or the straight line beside it, may be looked up.
func (at *reached) reaches(k *formula.TableKey, row int, mode formula.TableMode) bool {
	if k.Marks {
		return slices.Contains(at.marks, k.Texts[row])
	}
	low, high := k.Low[row], k.High[row]
	if mode == formula.TableInterpolate {
		low, high = k.Low[max(row-1, 0)], k.High[min(row+1, len(k.High)-1)]
	}
	return slices.ContainsFunc(at.spans, func(span formula.Interval) bool {
		return (low == nil || k.InSteps(span.High).Cmp(low) >= 0) && (high == nil || k.InSteps(span.Low).Cmp(high) <= 0)
	})
}
