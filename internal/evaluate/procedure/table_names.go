package procedure

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// tables reads printed tables that formulas look up.
func (r *procedureReader) tables(v shopfile.Value) []*formula.Table {
	if !v.Given() {
		return nil
	}
	var tables []*formula.Table
	for _, e := range v.Map().Entries() {
		t := r.table(e.Key, e.Value)
		tables = append(tables, t)
		r.scope[t.Name] = formula.Meaning{Table: t}
	}
	if len(tables) > most {
		v.Wrong(gauge.Say("entry.tables-many", gauge.Count("most", most)))
	}
	return tables
}

func (r *procedureReader) table(key, v shopfile.Value) *formula.Table {
	m := v.Map()
	t := &formula.Table{Name: r.name(key), Title: m.Get("title").Text(), Source: m.Get("source").Text(), Unit: r.p.Unit}
	if unit := m.Get("unit"); unit.Given() {
		t.Unit = unit.AnyUnit()
	}
	if m.Get("last_digit").Given() {
		t.ReadDigits(m)
		m.Done()
		return t
	}
	t.Mode = formula.TableMode(m.Need("mode").OneOf(string(formula.TableExact), string(formula.TableRow), string(formula.TableInterpolate)))
	t.Read(m, func(v shopfile.Value) *big.Rat { return formula.Exact(v.Length(t.Unit), t.Unit) })
	m.Done()
	return t
}
