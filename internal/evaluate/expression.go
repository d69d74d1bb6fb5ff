package evaluate

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// Expression is a formula over named quantities and plain numbers, such as
// "depth - height + gasket", "total/2 - play/2", "pull * radius" or
// "range(lash)". Its dimension is checked when it is read.
type Expression struct {
	text   string
	tokens []token
	root   *node
	names  []string // in order of first use
	of     dimension
	lists  map[string]bool // steps whose readings a function takes
	bare   map[int]bool    // where numbers stand that are lengths in the procedure's unit
	linear bool            // no product or quotient of names, no function
}

// scope says which names an expression may use.
type scope map[string]known

type known struct {
	of    dimension
	step  bool     // it has readings
	codes []Code   // it reads marks
	table *Table   // it is called with keys
	value *big.Rat // of a constant, to compute with
}

// parseExpression reads an expression whose bare numbers, where they are added
// to a length, are lengths in unit u. When want is given, the result must have
// that dimension.
func parseExpression(text string, u gauge.Unit, names scope, want *dimension) (*Expression, error) {
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
		return nil, fmt.Errorf("%q is not expected at character %d", t.text, t.at+1)
	}
	e := &Expression{text: text, tokens: tokens, root: root, lists: map[string]bool{}, bare: map[int]bool{}, linear: true}
	c := checker{e: e, unit: u, names: names}
	of, bare, err := c.check(root)
	if err != nil {
		return nil, err
	}
	if bare {
		of = length
		if want != nil {
			of = *want
		}
		if e.root, err = c.measured(root, of); err != nil {
			return nil, err
		}
	}
	if e.of = of; want != nil && of != *want {
		return nil, fmt.Errorf("%v is needed here, it is %v", *want, of)
	}
	return e, nil
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

// fixed is an expression that is one number.
func fixed(text string, value *big.Rat, of dimension) *Expression {
	return &Expression{text: text, root: &node{op: opNumber, number: value}, of: of, linear: true}
}

// checker finds the dimension of every part of an expression.
type checker struct {
	e     *Expression
	unit  gauge.Unit
	names scope
}

// check returns the dimension of a node; bare says that it is made of plain
// numbers alone, which take the dimension of what they are added to.
func (c *checker) check(n *node) (of dimension, bare bool, err error) {
	switch n.op {
	case opNumber:
		return number, true, nil
	case opName:
		if t := c.names[n.name].table; t != nil {
			return number, false, fmt.Errorf("%s is a table: write what it is looked up by in parentheses, %s(...), at character %d", n.name, n.name, n.at+1)
		}
		return c.names[n.name].of, false, c.use(n.name)
	case opCall:
		return c.call(n)
	case opAdd, opSubtract:
		return c.alike(n)
	}
	left, bareLeft, err := c.check(n.args[0])
	if err != nil {
		return number, false, err
	}
	right, bareRight, err := c.check(n.args[1])
	if err != nil {
		return number, false, err
	}
	if n.op == opMultiply {
		c.e.linear = c.e.linear && (!n.args[0].named() || !n.args[1].named())
		return left.times(right), bareLeft && bareRight, nil
	}
	c.e.linear = c.e.linear && !n.args[1].named()
	if err := c.divisor(n); err != nil {
		return number, false, err
	}
	return left.over(right), bareLeft && bareRight, nil
}

// alike checks operands that must have one dimension; plain numbers among
// them take it.
func (c *checker) alike(n *node) (of dimension, bare bool, err error) {
	bares := make([]bool, len(n.args))
	bare = true
	for i, arg := range n.args {
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
		if n.args[i], err = c.measured(n.args[i], of); err != nil {
			return number, false, err
		}
	}
	return of, false, nil
}

// measured gives plain numbers a dimension: a length in the procedure's unit.
func (c *checker) measured(n *node, of dimension) (*node, error) {
	switch of {
	case number, angle: // an angle has only one unit
		return n, nil
	case length:
		c.e.lengths(n)
		size := &node{op: opNumber, number: new(big.Rat).SetInt64(int64(c.unit.Size())), at: n.at}
		return &node{op: opMultiply, args: []*node{size, n}, at: n.at}, nil
	}
	return nil, fmt.Errorf("the bare number at character %d has no unit where %v is needed: give it a name and a unit under constants", n.at+1, of)
}

// use takes up a name.
func (c *checker) use(name string) error {
	if _, ok := c.names[name]; !ok {
		return &unknownName{name}
	}
	if !slices.Contains(c.e.names, name) {
		c.e.names = append(c.e.names, name)
	}
	return nil
}

// lengths marks the plain numbers of a node that are lengths: of a product or
// quotient of numbers, the last.
func (e *Expression) lengths(n *node) {
	switch n.op {
	case opNumber:
		e.bare[n.at] = true
	case opMultiply, opDivide:
		e.lengths(n.args[1])
	default:
		for _, arg := range n.args {
			e.lengths(arg)
		}
	}
}

func (c *checker) call(n *node) (of dimension, bare bool, err error) {
	if t := c.names[n.name].table; t != nil {
		return c.lookup(n, t)
	}
	if slices.Contains(ofOneValue, n.name) {
		return c.ofOneValue(n)
	}
	if !slices.Contains(functions, n.name) {
		return number, false, fmt.Errorf("there is no function %q at character %d; the functions are %s", n.name, n.at+1, strings.Join(functions, ", "))
	}
	of, bare, err = c.alike(n)
	if err == nil && isRounding(n.name) {
		return of, bare, c.checkRounding(n)
	}
	if err != nil || bare {
		return of, bare, err
	}
	c.e.linear = c.e.linear && n.name == "mean"
	if n.name == "abs" {
		if len(n.args) != 1 {
			return number, false, fmt.Errorf("abs at character %d takes one value", n.at+1)
		}
		return of, false, nil
	}
	if len(n.args) > 1 {
		return of, false, nil
	}
	arg := n.args[0]
	if arg.op != opName || !c.names[arg.name].step {
		return number, false, fmt.Errorf("%s at character %d takes several values, or one measurement whose readings it looks at", n.name, n.at+1)
	}
	n.over = true
	c.e.lists[arg.name] = true
	return of, false, nil
}

// unknownName is a name that an expression may not use.
type unknownName struct{ name string }

func (e *unknownName) Error() string {
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
				b.WriteString(text(n.name, false))
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
