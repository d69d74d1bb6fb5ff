package formula

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// Expression is a formula over named quantities and plain numbers, such as
// "depth - height + gasket", "total/2 - play/2", "pull * radius" or
// "range(lash)". Its dimension is checked when it is read.
type Expression struct {
	Root   *Node
	Of     Dimension
	Linear bool // no product or quotient of names, no function

	text   string
	tokens []token
	names  []string        // in order of first use
	lists  map[string]bool // steps whose readings a function takes
	bare   map[int]bool    // where numbers stand that are lengths in the procedure's unit
}

// Scope says which names an expression may use.
type Scope map[string]Meaning

// Meaning is what a name stands for.
type Meaning struct {
	Of    Dimension
	Step  bool     // it has readings
	Marks []string // that it reads
	Table *Table   // it is called with keys
	Value *big.Rat // of a constant, to compute with
}

// Parse reads an expression whose bare numbers, where they are added
// to a length, are lengths in unit u. When want is given, the result must have
// that dimension. The error is a *UnknownNameError for a name that names does not
// have; else it says what is wrong, at which character.
func Parse(text string, u gauge.Unit, names Scope, want *Dimension) (*Expression, error) {
	tokens, err := scan(text)
	if err != nil {
		return nil, err
	}
	p := parser{tokens: tokens}
	root, err := p.sum()
	if err != nil {
		return nil, err
	}
	if t := p.peek(); t.kind != tokenEnd {
		return nil, p.unexpected(t)
	}
	e := &Expression{text: text, tokens: tokens, Root: root, lists: map[string]bool{}, bare: map[int]bool{}, Linear: true}
	c := checker{e: e, unit: u, names: names}
	of, bare, err := c.check(root)
	if err != nil {
		return nil, err
	}
	if bare {
		of = Length
		if want != nil {
			of = *want
		}
		if e.Root, err = c.measured(root, of); err != nil {
			return nil, err
		}
	}
	if e.Of = of; want != nil && of != *want {
		return nil, fmt.Errorf("%v is needed here, it is %v", *want, of)
	}
	return e, nil
}

// unexpected says what stands where an operation or the end is needed, and what was
// perhaps meant.
func (p *parser) unexpected(t token) error {
	before, after := p.tokens[p.next-1], p.tokens[min(p.next+1, len(p.tokens)-1)]
	remedy := ""
	switch {
	case t.text == "," && before.kind == tokenNumber && after.kind == tokenNumber:
		remedy = fmt.Sprintf(": a number is written with a decimal point, %s.%s", before.text, after.text)
	case t.kind == tokenName && after.kind == tokenNumber && (t.text == "x" || t.text == "X"):
		remedy = ": multiply with *"
	case t.kind == tokenName && before.kind == tokenName:
		remedy = fmt.Sprintf(": put + - * or / between %s and %s, or _ where they are one name", before.text, t.text)
	case t.kind == tokenName && before.kind == tokenNumber:
		remedy = ": write a number without its unit, or put + - * or / between"
	}
	return fmt.Errorf("%q is not expected at character %d%s", t.text, t.at+1, remedy)
}

// String returns the expression as it was written; nothing for none.
func (e *Expression) String() string {
	if e == nil {
		return ""
	}
	return e.text
}

// Names returns the names that the expression uses, in order of first use.
func (e *Expression) Names() []string { return e.names }

// Fixed is an expression that is one number of that dimension, written as text.
func Fixed(text string, value *big.Rat, of Dimension) *Expression {
	return &Expression{text: text, Root: &Node{Op: OpNumber, Number: value}, Of: of, Linear: true}
}

// checker finds the dimension of every part of an expression.
type checker struct {
	e     *Expression
	unit  gauge.Unit
	names Scope
}

// check returns the dimension of a node; bare says that it is made of plain
// numbers alone, which take the dimension of what they are added to.
func (c *checker) check(n *Node) (of Dimension, bare bool, err error) {
	switch n.Op {
	case OpNumber:
		return number, true, nil
	case OpName:
		if t := c.names[n.Name].Table; t != nil {
			return number, false, fmt.Errorf("%s is a table: write what it is looked up by in parentheses, %s(...), at character %d", n.Name, n.Name, n.at+1)
		}
		return c.names[n.Name].Of, false, c.use(n.Name)
	case OpCall:
		return c.call(n)
	case OpAdd, OpSubtract:
		return c.alike(n)
	}
	left, bareLeft, err := c.check(n.Args[0])
	if err != nil {
		return number, false, err
	}
	right, bareRight, err := c.check(n.Args[1])
	if err != nil {
		return number, false, err
	}
	if n.Op == OpMultiply {
		c.e.Linear = c.e.Linear && (!n.Args[0].named() || !n.Args[1].named())
		return left.times(right), bareLeft && bareRight, nil
	}
	c.e.Linear = c.e.Linear && !n.Args[1].named()
	if err := c.divisor(n); err != nil {
		return number, false, err
	}
	return left.over(right), bareLeft && bareRight, nil
}

// alike checks operands that must have one dimension; plain numbers among
// them take it.
func (c *checker) alike(n *Node) (of Dimension, bare bool, err error) {
	bares := make([]bool, len(n.Args))
	bare = true
	for i, arg := range n.Args {
		d, b, err := c.check(arg)
		if err != nil {
			return number, false, err
		}
		switch bares[i] = b; {
		case b:
		case bare:
			of, bare = d, false
		case d != of:
			return number, false, mismatch(of, d, n.at)
		}
	}
	if bare {
		return number, true, nil
	}
	for i, b := range bares {
		if !b {
			continue
		}
		if n.Args[i], err = c.measured(n.Args[i], of); err != nil {
			return number, false, err
		}
	}
	return of, false, nil
}

// measured gives plain numbers a dimension: a length in the procedure's unit.
func (c *checker) measured(n *Node, of Dimension) (*Node, error) {
	switch of {
	case number, angle: // an angle has only one unit
		return n, nil
	case Length:
		c.e.lengths(n)
		size := &Node{Op: OpNumber, Number: new(big.Rat).SetInt64(int64(c.unit.Size())), at: n.at}
		return &Node{Op: OpMultiply, Args: []*Node{size, n}, at: n.at}, nil
	}
	return nil, fmt.Errorf("the bare number at character %d has no unit where %v is needed: give it a name and a unit under constants", n.at+1, of)
}

// use takes up a name.
func (c *checker) use(name string) error {
	if _, ok := c.names[name]; !ok {
		return &UnknownNameError{name, gauge.Nearest(name, slices.Collect(maps.Keys(c.names)))}
	}
	if !slices.Contains(c.e.names, name) {
		c.e.names = append(c.e.names, name)
	}
	return nil
}

// lengths marks the plain numbers of a node that are lengths: of a product or
// quotient of numbers, the last.
func (e *Expression) lengths(n *Node) {
	switch n.Op {
	case OpNumber:
		e.bare[n.at] = true
	case OpMultiply, OpDivide:
		e.lengths(n.Args[1])
	default:
		for _, arg := range n.Args {
			e.lengths(arg)
		}
	}
}

func (c *checker) call(n *Node) (of Dimension, bare bool, err error) {
	if t := c.names[n.Name].Table; t != nil {
		return c.lookup(n, t)
	}
	if IsOfOneValue(n.Name) {
		return c.ofOneValue(n)
	}
	if !slices.Contains(functions, n.Name) {
		return number, false, fmt.Errorf("there is no function %q at character %d; the functions are %s", n.Name, n.at+1, strings.Join(functions, ", "))
	}
	of, bare, err = c.alike(n)
	if err == nil && IsRounding(n.Name) {
		return of, bare, c.checkRounding(n)
	}
	if err != nil || bare {
		return of, bare, err
	}
	c.e.Linear = c.e.Linear && n.Name == "mean"
	if n.Name == "abs" {
		if len(n.Args) != 1 {
			return number, false, fmt.Errorf("abs at character %d takes one value", n.at+1)
		}
		return of, false, nil
	}
	if len(n.Args) > 1 {
		return of, false, nil
	}
	arg := n.Args[0]
	if arg.Op != OpName || !c.names[arg.Name].Step {
		return number, false, fmt.Errorf("%s at character %d takes several values, or one measurement whose readings it looks at", n.Name, n.at+1)
	}
	n.Over = true
	c.e.lists[arg.Name] = true
	return of, false, nil
}

// UnknownNameError is a name that an expression may not use.
type UnknownNameError struct{ name, near string }

// Error says the name, and which names are known.
func (e *UnknownNameError) Error() string {
	if e.near != "" {
		return fmt.Sprintf("%q is not known here: did you mean %s?", e.name, e.near)
	}
	return fmt.Sprintf("%q is not known here: name a measurement, a constant or a value that stands above", e.name)
}

// Worked writes the expression with numbers in the place of names; negative
// numbers stand in parentheses. text gives the number of a name, or those of
// its readings where a function looks at them; literal gives a number of the
// formula that is a length.
func (e *Expression) Worked(text func(name string, list bool) string, literal func(string) string) string {
	var b strings.Builder
	end := 0
	for i, t := range e.tokens {
		if t.at < end {
			continue // inside the name of a part
		}
		b.WriteString(e.text[end:t.at])
		end = t.at + len(t.text)
		if p := (parser{tokens: e.tokens, next: i + 1}); t.kind == tokenName {
			if n, ok := p.placeName(t); ok {
				b.WriteString(text(n.Name, false))
				end = e.tokens[i+3].at + 1
				continue
			}
		}
		if t.kind == tokenNumber && e.bare[t.at] {
			b.WriteString(literal(t.text))
			continue
		}
		if t.kind != tokenName || e.tokens[i+1].text == "(" {
			b.WriteString(t.text)
			continue
		}
		list := e.lists[t.text] && i > 1 && e.tokens[i-1].text == "(" && e.tokens[i-2].kind == tokenName && e.tokens[i+1].text == ")"
		n := text(t.text, list && e.tokens[i-2].text != "abs")
		if !list && strings.HasPrefix(n, "-") {
			n = "(" + n + ")"
		}
		b.WriteString(n)
	}
	return b.String()
}

// Minus is the difference of two formulas of one dimension.
func (e *Expression) Minus(o *Expression) *Expression {
	return &Expression{
		text: e.text + " - (" + o.text + ")", Root: &Node{Op: OpSubtract, Args: []*Node{e.Root, o.Root}},
		names: append(append([]string(nil), e.names...), o.names...), Of: e.Of, Linear: e.Linear && o.Linear,
	}
}

// Named is a formula that is one name, of a length.
func Named(name string) *Expression {
	return &Expression{text: name, Root: &Node{Op: OpName, Name: name}, names: []string{name}, Of: Length, Linear: true}
}

// Size is how many names, numbers and signs it has.
func (e *Expression) Size() int { return len(e.tokens) }

// ListsReadings reports whether a function in it looks at the readings of a step.
func (e *Expression) ListsReadings(step string) bool { return e.lists[step] }
