package formula

import (
	"math/big"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Bounds of a table.
const (
	mostRows    = 500
	mostColumns = 100
)

// Unprinted stands in a table for a cell that is empty in print.
const Unprinted = "none"

// Read reads keys, columns and rows, from the file or from the table beside it that
// it names. cell reads what stands in a row; problems are reported to m.
func (t *Table) Read(m *shopfile.Map, cell func(shopfile.Value) *big.Rat) {
	t.readKeys(m.Need("by"))
	two := len(t.Keys) == 2
	rows, columns, file := m.Get("rows"), m.Get("columns"), m.Get("file")
	switch {
	case file.Given():
		for _, v := range []shopfile.Value{rows, columns} {
			v.Wrong(gauge.Say("entry.table-in-file", file.As("file")))
		}
		columns, rows = shopfile.Value{}, shopfile.Value{}
		if len(t.Keys) > 0 {
			columns, rows = file.Grid(shopfile.GridForm{
				Corner: t.Keys[0].Name, Columned: two,
				RowMarks: t.Keys[0].Marks, ColumnMarks: two && t.Keys[1].Marks,
			})
		}
	case two:
		columns = m.Need("columns")
	case columns.Given():
		columns.Wrong(gauge.Say("entry.table-one-key"))
	}
	if !file.Given() {
		rows = m.Need("rows")
	}
	if two {
		t.readColumns(columns)
	}
	if rows.Given() && len(t.Keys) > 0 {
		t.readRows(rows, cell)
	}
	t.readGaps(m, rows, columns)
}

// readKeys reads by what a table is looked up: one key or two, each with its
// unit, or marks.
func (t *Table) readKeys(v shopfile.Value) {
	if !v.Given() {
		return
	}
	for _, e := range v.Map().Entries() {
		k := TableKey{Name: e.Key.Text()}
		unit := e.Value
		if unit.IsMap() {
			m := e.Value.Map()
			unit = m.Need("unit")
			k.readUnit(unit)
			if step := m.Get("step"); step.Given() {
				if read := *step.Positive(k.Unit, false); read > 0 {
					k.step = Exact(read, k.Unit)
				}
				if t.Mode == TableInterpolate || k.Marks {
					step.Wrong(gauge.Say("entry.table-no-step"))
				}
			}
			m.Done()
		} else {
			k.readUnit(unit)
		}
		if k.Marks && t.Mode != TableExact {
			unit.Wrong(gauge.Say("entry.table-marks-exact", gauge.Text("mode", string(TableExact))))
		}
		t.Keys = append(t.Keys, k)
	}
	if n := len(t.Keys); v.IsMap() && (n < 1 || n > 2) {
		v.Wrong(gauge.Say("entry.table-keys"))
	}
}

func (k *TableKey) readUnit(v shopfile.Value) {
	if v.Given() && v.Text() == "marks" {
		k.Marks = true
		return
	}
	k.Unit = v.AnyUnit()
}

func (t *Table) readColumns(v shopfile.Value) {
	if !v.Given() {
		return
	}
	heads := v.List()
	if len(heads) > mostColumns {
		v.Wrong(gauge.Say("entry.table-columns", gauge.Count("columns", len(heads)), gauge.Count("most", mostColumns)))
		return
	}
	for _, head := range heads {
		t.Keys[1].add(head, t.Mode)
	}
	t.Keys[1].enough(v, "entry.table-single.columns")
}

func (t *Table) readRows(v shopfile.Value, cell func(shopfile.Value) *big.Rat) {
	entries := v.Map().Entries()
	if len(entries) > mostRows {
		v.Wrong(gauge.Say("entry.table-rows", gauge.Count("rows", len(entries)), gauge.Count("most", mostRows)))
		return
	}
	for _, e := range entries {
		t.Keys[0].add(e.Key, t.Mode)
		t.cells = append(t.cells, t.readCells(e.Value, cell))
	}
	t.Keys[0].enough(v, "entry.table-single.rows")
}

func (k *TableKey) enough(v shopfile.Value, what string) {
	if v.Given() && len(k.Texts) < 2 {
		v.Wrong(gauge.Say("entry.table-single", gauge.Word("what", what)))
	}
}

// readCells reads the values of one row.
func (t *Table) readCells(v shopfile.Value, cell func(shopfile.Value) *big.Rat) []*big.Rat {
	if len(t.Keys) == 1 {
		return []*big.Rat{printedCell(v, cell)}
	}
	var row []*big.Rat
	list := v.List()
	for _, item := range list {
		row = append(row, printedCell(item, cell))
	}
	if columns := len(t.Keys[1].Texts); v.IsList() && len(list) != columns {
		v.Wrong(gauge.Say("entry.table-row-short", gauge.Count("cells", len(list)), gauge.Count("columns", columns), gauge.Text("sign", Unprinted)))
	}
	return row
}

// printedCell reads one cell; nil where nothing is printed.
func printedCell(v shopfile.Value, cell func(shopfile.Value) *big.Rat) *big.Rat {
	switch {
	case v.Blank():
		v.Wrong(gauge.Say("entry.table-cell-empty", gauge.Text("sign", Unprinted)))
		return nil
	case !v.IsMap() && v.Text() == Unprinted:
		return nil
	}
	return cell(v)
}

// add reads the key of one row or column, which must follow those before it.
func (k *TableKey) add(v shopfile.Value, mode TableMode) {
	text := v.Text()
	k.Texts = append(k.Texts, text)
	if k.Marks {
		for _, before := range k.Texts[:len(k.Texts)-1] {
			if before == text {
				v.Wrong(gauge.Say("entry.mark-twice", shopfile.Quoted("mark", text)))
			}
		}
		k.Low, k.High = append(k.Low, nil), append(k.High, nil)
		return
	}
	low, high, ok := k.ends(v, text, mode)
	if !ok {
		if k.unread == nil {
			k.unread = map[int]bool{}
		}
		k.unread[len(k.Low)] = true
		k.Low, k.High = append(k.Low, nil), append(k.High, nil)
		return
	}
	if n := len(k.Low); n > 0 && !k.unread[n-1] && low != nil && k.High[n-1] != nil && (low.Cmp(k.low0(n-1)) <= 0 || high != nil && high.Cmp(k.High[n-1]) <= 0) {
		v.Wrong(gauge.Say("entry.table-order", shopfile.Quoted("text", text), gauge.Text("before", k.Texts[n-1])))
	}
	if k.step != nil && !hasStep(low, high, k.step) {
		v.Wrong(gauge.Say("entry.table-not-reached", shopfile.Quoted("text", text), k.tell("step", k.step)))
	}
	k.Low, k.High = append(k.Low, low), append(k.High, high)
}

// low0 is the lower end of a row, or its upper one where the lower is open.
func (k *TableKey) low0(row int) *big.Rat {
	if k.Low[row] != nil {
		return k.Low[row]
	}
	return k.High[row]
}

// ends reads a key: one value, or for a table by row from one to another, such
// as 0.10..0.14, where the end that is left out is open.
// ok is false where it could not be read, which was told.
func (k *TableKey) ends(v shopfile.Value, text string, mode TableMode) (low, high *big.Rat, ok bool) {
	ok = true
	read := func(text string) *big.Rat {
		l, err := gauge.ParseLength(text, k.Unit)
		if err != nil {
			if ok = false; k.Unit.Known() {
				v.Wrong(gauge.Told(err))
			}
			return new(big.Rat)
		}
		return Exact(l, k.Unit)
	}
	from, to, isRange := strings.Cut(text, IntervalSign)
	if !isRange {
		low = read(text)
		return low, low, ok
	}
	if mode != TableRow {
		v.Wrong(gauge.Say("entry.table-range", shopfile.Quoted("text", text), gauge.Text("mode", string(TableRow))))
	}
	if from != "" {
		low = read(from)
	}
	if to != "" {
		high = read(to)
	}
	switch {
	case from == "" && to == "":
		v.Wrong(gauge.Say("entry.table-serves-nothing", shopfile.Quoted("text", text)))
		ok = false
	case ok && from != "" && to != "" && low.Cmp(high) > 0:
		v.Wrong(gauge.Say("entry.range-crossed", shopfile.Quoted("from", from), shopfile.Quoted("to", to)))
	}
	return low, high, ok
}

// readGaps looks for overlaps, holes and borders between the rows and columns
// of a table that is read by row.
func (t *Table) readGaps(m *shopfile.Map, rows, columns shopfile.Value) {
	border, holes := m.Get("border"), m.Get("holes")
	accepted := holes.Given() && holes.OneOf("accepted") != ""
	if t.Mode != TableRow {
		border.Wrong(gauge.Say("entry.table-no-border"))
		holes.Wrong(gauge.Say("entry.table-no-holes"))
		return
	}
	upper := border.Given() && border.OneOf("lower row", "upper row") == "upper row"
	var heads [2][]shopfile.Value
	for _, e := range rows.Map().Entries() {
		heads[0] = append(heads[0], e.Key)
	}
	heads[1] = columns.List()
	for i := range t.Keys[:min(len(t.Keys), 2)] {
		k := &t.Keys[i]
		k.upper = upper
		for row := 1; row < len(k.Low); row++ {
			k.gap(heads[i][row], row, border.Given(), accepted)
		}
	}
}

// gap checks a row against the one before.
func (k *TableKey) gap(at shopfile.Value, row int, borderStated, accepted bool) {
	if k.unread[row-1] || k.unread[row] {
		return
	}
	end, begin := k.High[row-1], k.Low[row]
	if end == nil || begin == nil {
		at.Wrong(gauge.Say("entry.table-open-row", shopfile.Quoted("before", k.Texts[row-1]), shopfile.Quoted("row", k.Texts[row])))
		return
	}
	distance := new(big.Rat).Sub(begin, end)
	switch {
	case distance.Sign() < 0:
		at.Wrong(gauge.Say("entry.table-overlap", shopfile.Quoted("before", k.Texts[row-1]), shopfile.Quoted("row", k.Texts[row])))
	case distance.Sign() == 0 && !borderStated:
		at.Wrong(gauge.Say("entry.table-border", k.tell("value", begin), shopfile.Quoted("before", k.Texts[row-1]), shopfile.Quoted("row", k.Texts[row])))
	case distance.Sign() > 0 && (k.step == nil || distance.Cmp(k.step) != 0) && !accepted:
		at.Wrong(gauge.Say("entry.table-hole", shopfile.Quoted("before", k.Texts[row-1]), shopfile.Quoted("row", k.Texts[row]), gauge.Text("key", k.Name), gauge.Text("unit", k.Unit.String())))
	}
}
