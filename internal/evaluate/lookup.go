package evaluate

import (
	"fmt"
	"math/big"
	"slices"

	"gauged/internal/gauge"
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

	of    dimension
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

	of        dimension
	low, high []*big.Rat // which values each row serves, to compute with; a nil end is open
	step      *big.Rat   // values are rounded half to even to it first; nil: not
	upper     bool       // a value at the border of two rows belongs to the upper one
}

// position is where a key lies: in a row, or between it and the next by a share.
type position struct {
	row   int
	share *big.Rat // nil: in the row itself
}

// refusal says why a value cannot be had from what was measured: it must be
// measured again. It is no fault of the file.
type refusal struct{ text string }

func (e *refusal) Error() string { return e.text }

func refused(format string, args ...any) error { return &refusal{fmt.Sprintf(format, args...)} }

// lookUp computes a call of a table.
func (n *node) lookUp(v *values) (*big.Rat, error) {
	at := make([]position, len(n.args))
	for i, arg := range n.args {
		if n.table.Keys[i].Marks {
			row, err := n.table.marked(i, arg.name, v)
			if err != nil {
				return nil, err
			}
			at[i] = position{row: row}
			continue
		}
		key, err := arg.value(v)
		if err != nil {
			return nil, err
		}
		if n.table.digits != nil {
			return n.table.digits.value(key), nil
		}
		if at[i], err = n.table.find(i, key); err != nil {
			return nil, err
		}
	}
	return n.table.value(at)
}

// lookedUp writes down what tables give in the middle of a sum, a line for each,
// so that the sum can be followed with the print beside it.
func (w *work) lookedUp(x *Expression) error {
	for _, n := range x.root.lookUps() {
		if n == x.root {
			continue // the sum itself
		}
		text := x.text[n.at:n.end]
		if w.looked[text] {
			continue
		}
		w.looked[text] = true
		tokens, err := scan(text)
		if err != nil {
			return err
		}
		r, err := n.value(&w.v)
		if err != nil {
			return err
		}
		value, err := inUnit(r, n.table.Unit)
		if err != nil {
			return err
		}
		part := &Expression{text: text, tokens: tokens, root: n, lists: x.lists}
		between, err := w.between(part, n.table.Unit)
		if err != nil {
			return err
		}
		line := Sum{Name: n.table.Name, Value: value, Unit: n.table.Unit, Between: between}
		if w.brief == nil {
			line.Expression, line.Worked = text, w.workedLine(part, n.table.Unit)
		}
		w.e.Sums = append(w.e.Sums, line)
	}
	return nil
}

// lookUps lists the calls of tables in a formula, the inner ones first.
func (n *node) lookUps() []*node {
	var all []*node
	for _, arg := range n.args {
		all = append(all, arg.lookUps()...)
	}
	if n.table != nil {
		all = append(all, n)
	}
	return all
}

// marked is the row of the mark that a step has read.
func (t *Table) marked(key int, step string, v *values) (int, error) {
	mark, ok := v.marks[step]
	if !ok {
		return 0, fmt.Errorf("%q has no mark", step)
	}
	for row, text := range t.Keys[key].Texts {
		if text == mark {
			return row, nil
		}
	}
	return 0, refused("the table %s has no row for %s %s: read the mark again", t.Name, step, mark)
}

// find is where a value of a key lies. A table is never extended.
func (t *Table) find(key int, x *big.Rat) (position, error) {
	k := &t.Keys[key]
	if k.step != nil {
		x = rounded(toEven, x, k.step)
	}
	found, ok := -1, false
	for row := range k.low {
		if serves(k.low[row], k.high[row], x) && (found < 0 || k.upper) {
			found, ok = row, true
		}
	}
	if ok {
		return position{row: found}, nil
	}
	if t.Mode == TableInterpolate {
		for row := range len(k.low) - 1 {
			if x.Cmp(k.low[row]) > 0 && x.Cmp(k.low[row+1]) < 0 {
				share := new(big.Rat).Sub(x, k.low[row])
				return position{row, share.Quo(share, new(big.Rat).Sub(k.low[row+1], k.low[row]))}, nil
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
	first, last := k.low[0], k.high[len(k.high)-1]
	what := fmt.Sprintf("%s of %s", k.Name, k.show(x))
	if first != nil && x.Cmp(first) < 0 || last != nil && x.Cmp(last) > 0 {
		return refused("%s is outside the table %s, which goes from %s to %s and is never extended: check the reading, its unit and that the right faces were measured, then measure again",
			what, t.Name, k.Texts[0], k.Texts[len(k.Texts)-1])
	}
	if t.Mode == TableExact {
		return refused("%s does not stand in the table %s, which is read exactly: check the reading, then measure again", what, t.Name)
	}
	return refused("%s lies between two rows of the table %s, where nothing is printed: check the reading, then measure again", what, t.Name)
}

// show writes a value of the key.
func (k *TableKey) show(x *big.Rat) string {
	l, err := inUnit(x, k.Unit)
	if err != nil {
		return x.FloatString(3)
	}
	if k.Unit == gauge.One {
		return TextIn(l, k.Unit)
	}
	return TextIn(l, k.Unit) + " " + k.Unit.String()
}

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
			return nil, refused("the table %s prints nothing at %s: check the readings, then measure again", t.Name, t.where(row, column))
		})
	})
}

// where names a cell by its keys.
func (t *Table) where(row, column int) string {
	text := t.Keys[0].Name + " " + t.Keys[0].Texts[row]
	if len(t.Keys) > 1 {
		text += ", " + t.Keys[1].Name + " " + t.Keys[1].Texts[column]
	}
	return text
}

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
		return nil, errEndless
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
		how = toZero
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
func (c *checker) lookup(n *node, t *Table) (of dimension, bare bool, err error) {
	c.e.linear = false
	n.table = t
	if len(n.args) != len(t.Keys) {
		return number, false, fmt.Errorf("the table %s at character %d is looked up by %s", t.Name, n.at+1, t.keyNames())
	}
	for i := range n.args {
		if err := c.key(n, i); err != nil {
			return number, false, err
		}
	}
	return t.of, false, nil
}

// keyNames says by what a table is looked up.
func (t *Table) keyNames() string {
	if len(t.Keys) == 1 {
		return t.Keys[0].Name
	}
	return t.Keys[0].Name + " and " + t.Keys[1].Name
}

// key checks one argument of a table.
func (c *checker) key(n *node, i int) error {
	k, arg := &n.table.Keys[i], n.args[i]
	if k.Marks {
		return c.markKey(n, i)
	}
	of, bare, err := c.check(arg)
	if err != nil {
		return err
	}
	if bare {
		n.args[i], err = c.measured(arg, k.of)
		return err
	}
	if of != k.of {
		return fmt.Errorf("the table %s is looked up by %s, which is %v; %v stands at character %d", n.table.Name, k.Name, k.of, of, arg.at+1)
	}
	return nil
}

// markKey checks that an argument is a measurement whose every mark has a row.
func (c *checker) markKey(n *node, i int) error {
	k, arg := &n.table.Keys[i], n.args[i]
	if arg.op == opName {
		if err := c.use(arg.name); err != nil {
			return err
		}
	}
	codes := c.names[arg.name].codes
	if arg.op != opName || len(codes) == 0 {
		return fmt.Errorf("the table %s is looked up by marks: name a measurement with codes at character %d", n.table.Name, arg.at+1)
	}
	for _, code := range codes {
		if !slices.Contains(k.Texts, code.Mark) {
			return fmt.Errorf("the table %s has no row for the mark %q of %s", n.table.Name, code.Mark, arg.name)
		}
	}
	return nil
}
