package formula

import (
	"math/big"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Table is a printed table whose value goes on into a formula, where it is
// called by its name: chart(play), or chart(old_mark, new_mark).
type Table struct {
	Name   string
	Title  string
	Source string
	Mode   TableMode
	Keys   []TableKey // one, or two: the rows and the columns
	Unit   gauge.Unit // of its values

	cells [][]*big.Rat // by row and column, to compute with; nil where nothing is printed

	digits *digitRule // for TableDigits, which has no cells
}

// TableMode says how a table is read.
type TableMode string

// The ways to read a table.
const (
	TableExact       TableMode = "exact"       // the key stands in the table
	TableRow         TableMode = "row"         // a row serves the keys from one to another
	TableInterpolate TableMode = "interpolate" // straight lines between the rows
	TableDigits      TableMode = "last digit"  // the last digit is replaced
)

// TableKey is what a table is looked up by.
type TableKey struct {
	Name  string
	Unit  gauge.Unit // none for marks
	Marks bool       // it is a mark that a step has read
	Texts []string   // as they are written, in order

	Low, High []*big.Rat   // which values each row serves, to compute with; a nil end is open
	step      *big.Rat     // values are rounded half to even to it first; nil: not
	unread    map[int]bool // rows whose values could not be read, which was told
	upper     bool         // a value at the border of two rows belongs to the upper one
}

// position is where a key lies: in a row, or between it and the next by a share.
type position struct {
	row   int
	share *big.Rat // nil: in the row itself
}

// RefusalError says why a value cannot be had from what was measured: it must be
// measured again. It is no fault of the file.
type RefusalError struct{ says gauge.Message }

// Error gives code and arguments, for logs.
func (e *RefusalError) Error() string { return e.says.String() }

// Tell says which value the table does not have.
func (e *RefusalError) Tell() gauge.Message { return e.says }

func refused(code string, args ...gauge.Arg) error { return &RefusalError{gauge.Say(code, args...)} }

// lookUp computes a call of a table.
func (n *Node) lookUp(v *Values) (*big.Rat, error) {
	at := make([]position, len(n.Args))
	for i, arg := range n.Args {
		if n.Table.Keys[i].Marks {
			row, err := n.Table.marked(i, arg.Name, v)
			if err != nil {
				return nil, err
			}
			at[i] = position{row: row}
			continue
		}
		key, err := arg.Compute(v)
		if err != nil {
			return nil, err
		}
		if n.Table.digits != nil {
			return n.Table.digits.value(key), nil
		}
		if at[i], err = n.Table.find(i, key); err != nil {
			return nil, err
		}
	}
	return n.Table.value(at)
}

// TableCalls are the calls of tables in the middle of a formula, the inner ones
// first, each as a formula of its own.
func (e *Expression) TableCalls() (all []*Expression) {
	for _, n := range e.Root.lookUps() {
		if n == e.Root {
			continue // the formula itself
		}
		text := e.text[n.at:n.end]
		if tokens, err := scan(text); err == nil { // it was scanned within the formula
			all = append(all, &Expression{text: text, tokens: tokens, Root: n, lists: e.lists})
		}
	}
	return all
}

// lookUps lists the calls of tables in a formula, the inner ones first.
func (n *Node) lookUps() []*Node {
	var all []*Node
	for _, arg := range n.Args {
		all = append(all, arg.lookUps()...)
	}
	if n.Table != nil {
		all = append(all, n)
	}
	return all
}

// marked is the row of the mark that a step has read.
func (t *Table) marked(key int, step string, v *Values) (int, error) {
	mark, ok := v.Marks[step]
	if !ok {
		return 0, gauge.WrongInput("sum.no-mark", gauge.Text("step", step))
	}
	for row, text := range t.Keys[key].Texts {
		if text == mark {
			return row, nil
		}
	}
	return 0, refused("formula.table_no_mark", gauge.Text("table", t.Name), gauge.Text("step", step), gauge.Text("mark", mark))
}

// find is where a value of a key lies. A table is never extended.
func (t *Table) find(key int, x *big.Rat) (position, error) {
	k := &t.Keys[key]
	if k.step != nil {
		x = Round(toEven, x, k.step)
	}
	found, ok := -1, false
	for row := range k.Low {
		if serves(k.Low[row], k.High[row], x) && (found < 0 || k.upper) {
			found, ok = row, true
		}
	}
	if ok {
		return position{row: found}, nil
	}
	if t.Mode == TableInterpolate {
		for row := range len(k.Low) - 1 {
			if x.Cmp(k.Low[row]) > 0 && x.Cmp(k.Low[row+1]) < 0 {
				share := new(big.Rat).Sub(x, k.Low[row])
				return position{row, share.Quo(share, new(big.Rat).Sub(k.Low[row+1], k.Low[row]))}, nil
			}
		}
	}
	return position{}, t.missing(key, x)
}

func serves(low, high, x *big.Rat) bool {
	return (low == nil || x.Cmp(low) >= 0) && (high == nil || x.Cmp(high) <= 0)
}

// missing says that a value is outside the table, or between its rows.
func (t *Table) missing(key int, x *big.Rat) error {
	k := &t.Keys[key]
	first, last := k.Low[0], k.High[len(k.High)-1]
	args := []gauge.Arg{gauge.Text("table", t.Name), gauge.Text("key", k.Name), k.tell("value", x)}
	if first != nil && x.Cmp(first) < 0 || last != nil && x.Cmp(last) > 0 {
		return refused("formula.table_outside", append(args, written("first", k.Texts[0]), written("last", k.Texts[len(k.Texts)-1]))...)
	}
	if t.Mode == TableExact {
		return refused("formula.table_not_exactly", args...)
	}
	return refused("formula.table_between_rows", args...)
}

// Of is what kind of quantity the key is; a number for marks.
func (k *TableKey) Of() Dimension { return DimensionOf(k.Unit) }

// Show writes a value of the key with its unit.
func (k *TableKey) Show(x *big.Rat) string {
	l, err := InUnit(x, k.Unit)
	if err != nil {
		return x.FloatString(3)
	}
	if k.Unit == gauge.One {
		return l.TextIn(k.Unit)
	}
	return l.TextIn(k.Unit) + " " + k.Unit.String()
}

// tell is Show as an argument.
func (k *TableKey) tell(name string, x *big.Rat) gauge.Arg { return written(name, k.Show(x)) }

// value is what the table gives at a position, in straight lines between its rows
// and its columns.
func (t *Table) value(at []position) (*big.Rat, error) {
	column := position{}
	if len(at) > 1 {
		column = at[1]
	}
	return alongLine(at[0], func(row int) (*big.Rat, error) {
		return alongLine(column, func(column int) (*big.Rat, error) {
			if cell := t.cells[row][column]; cell != nil {
				return cell, nil
			}
			return nil, refused("formula.table_empty_cell", gauge.Text("table", t.Name), gauge.List("keys", t.where(row, column)...))
		})
	})
}

// where names a cell by its keys.
func (t *Table) where(row, column int) []gauge.Arg {
	at := []int{row, column}
	keys := make([]gauge.Arg, len(t.Keys))
	for i, k := range t.Keys {
		keys[i] = gauge.Nested("", gauge.Say("asked.value", gauge.Text("name", k.Name), written("value", k.Texts[at[i]])))
	}
	return keys
}

// written is what stands in a table.
func written(name, text string) gauge.Arg { return gauge.Shown(name, text, gauge.UnitUnknown) }

// alongLine is the value at a position on the straight line through two of them.
func alongLine(at position, value func(int) (*big.Rat, error)) (*big.Rat, error) {
	low, err := value(at.row)
	if err != nil || at.share == nil {
		return low, err
	}
	high, err := value(at.row + 1)
	if err != nil {
		return nil, err
	}
	rise := new(big.Rat).Sub(high, low)
	if rise.Add(low, rise.Mul(rise, at.share)); rise.Num().BitLen() > mostBits || rise.Denom().BitLen() > mostBits {
		return nil, ErrEndless
	}
	return rise, nil
}

// digitRule replaces the last digit of a value, as "0 to 2 becomes 0, 3 to 7
// becomes 5, 8 and 9 the next 0".
type digitRule struct {
	size *big.Rat  // of the last digit
	cut  bool      // what is finer is cut off, else rounded half away from zero
	to   [10]int64 // for each digit; from 10 on it is that of the next ten
}

// value applies the rule to the size of a value and keeps its sign.
func (d *digitRule) value(x *big.Rat) *big.Rat {
	how := toNearest
	if d.cut {
		how = ToZero
	}
	n := wholeSteps(how, new(big.Rat).Quo(new(big.Rat).Abs(x), d.size))
	tens, last := new(big.Int).QuoRem(n, big.NewInt(10), new(big.Int))
	n.Add(tens.Mul(tens, big.NewInt(10)), big.NewInt(d.to[last.Int64()]))
	result := new(big.Rat).Mul(new(big.Rat).SetInt(n), d.size)
	if x.Sign() < 0 {
		result.Neg(result)
	}
	return result
}

// lookup checks a call of a table.
func (c *checker) lookup(n *Node, t *Table) (of Dimension, bare bool, err error) {
	c.e.Linear = false
	n.Table = t
	if len(n.Args) != len(t.Keys) {
		return number, false, gauge.WrongInput("sum.table-keys", gauge.Text("table", t.Name), gauge.Count("at", n.at+1), gauge.Texts("keys", t.keyNames()))
	}
	for i := range n.Args {
		if err := c.key(n, i); err != nil {
			return number, false, err
		}
	}
	return DimensionOf(t.Unit), false, nil
}

// keyNames are the names by which a table is looked up.
func (t *Table) keyNames() (names []string) {
	for _, k := range t.Keys {
		names = append(names, k.Name)
	}
	return names
}

// key checks one argument of a table.
func (c *checker) key(n *Node, i int) error {
	k, arg := &n.Table.Keys[i], n.Args[i]
	if k.Marks {
		return c.markKey(n, i)
	}
	of, bare, err := c.check(arg)
	if err != nil {
		return err
	}
	if bare {
		n.Args[i], err = c.measured(arg, k.Of())
		return err
	}
	if of != k.Of() {
		return gauge.WrongInput("sum.table-key", gauge.Text("table", n.Table.Name), gauge.Text("key", k.Name), gauge.Word("wanted", k.Of().Word()), gauge.Word("is", of.Word()), gauge.Count("at", arg.at+1))
	}
	return nil
}

// markKey checks that an argument is a measurement whose every mark has a row.
func (c *checker) markKey(n *Node, i int) error {
	k, arg := &n.Table.Keys[i], n.Args[i]
	if arg.Op == OpName {
		if err := c.use(arg.Name); err != nil {
			return err
		}
	}
	marks := c.names[arg.Name].Marks
	if arg.Op != OpName || len(marks) == 0 {
		return gauge.WrongInput("sum.table-marks", gauge.Text("table", n.Table.Name), gauge.Count("at", arg.at+1))
	}
	for _, mark := range marks {
		if !slices.Contains(k.Texts, mark) {
			return gauge.WrongInput("sum.table-no-row", gauge.Text("table", n.Table.Name), shopfile.Quoted("mark", mark), gauge.Text("step", arg.Name))
		}
	}
	return nil
}

// InSteps is a value of the key as it is looked up: rounded half to even to its step.
func (k *TableKey) InSteps(x *big.Rat) *big.Rat {
	if k.step == nil {
		return x
	}
	return Round(toEven, x, k.step)
}

// hasStep reports whether a whole step lies between two ends, which are served too.
func hasStep(low, high, step *big.Rat) bool {
	if low == nil || high == nil {
		return true
	}
	return Round(upwards, low, step).Cmp(high) <= 0
}

// IntervalSign stands between the ends of a typed interval: the thickest feeler
// that goes in and the thinnest that does not.
const IntervalSign = ".."
