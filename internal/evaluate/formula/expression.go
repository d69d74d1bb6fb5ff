package formula

import (
	"maps"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
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
		return nil, gauge.WrongInput("sum.wanted", gauge.Word("wanted", want.Word()), gauge.Word("is", of.Word()))
	}
	return e, nil
}

// unexpected says what stands where an operation or the end is needed, and what was
// perhaps meant.
func (p *parser) unexpected(t token) error {
	before, after := p.tokens[p.next-1], p.tokens[min(p.next+1, len(p.tokens)-1)]
	args := []gauge.Arg{shopfile.Quoted("text", t.text), gauge.Count("at", t.at+1)}
	remedy := func(code string, of ...gauge.Arg) {
		args = append(args, gauge.Nested("remedy", gauge.Say(code, of...)))
	}
	switch {
	case t.text == "," && before.kind == tokenNumber && after.kind == tokenNumber:
		remedy("sum.decimal-point", gauge.Text("number", before.text+"."+after.text))
	case t.kind == tokenName && after.kind == tokenNumber && (t.text == "x" || t.text == "X"):
		remedy("sum.multiply")
	case t.kind == tokenName && before.kind == tokenName:
		remedy("sum.two-names", gauge.Text("first", before.text), gauge.Text("second", t.text))
	case t.kind == tokenName && before.kind == tokenNumber:
		remedy("sum.number-and-name")
	}
	return gauge.WrongInput("sum.unexpected", args...)
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
			return number, false, gauge.WrongInput("sum.is-table", gauge.Text("table", n.Name), gauge.Count("at", n.at+1))
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
	return nil, gauge.WrongInput("sum.bare", gauge.Count("at", n.at+1), gauge.Word("wanted", of.Word()))
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
		return number, false, gauge.WrongInput("sum.no-function", shopfile.Quoted("function", n.Name), gauge.Count("at", n.at+1), gauge.Texts("known", functions))
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
			return number, false, gauge.WrongInput("sum.one-value", gauge.Text("function", n.Name), gauge.Count("at", n.at+1))
		}
		return of, false, nil
	}
	if len(n.Args) > 1 {
		return of, false, nil
	}
	arg := n.Args[0]
	if arg.Op != OpName || !c.names[arg.Name].Step {
		return number, false, gauge.WrongInput("sum.several-values", gauge.Text("function", n.Name), gauge.Count("at", n.at+1))
	}
	n.Over = true
	c.e.lists[arg.Name] = true
	return of, false, nil
}

// UnknownNameError is a name that an expression may not use.
type UnknownNameError struct{ name, near string }

// Error gives code and arguments, for logs.
func (e *UnknownNameError) Error() string { return e.Tell().String() }

// Tell says the name, and what was perhaps meant.
func (e *UnknownNameError) Tell() gauge.Message {
	if e.near != "" {
		return gauge.Say("sum.name-near", gauge.Text("name", e.name), gauge.Text("near", e.near))
	}
	return gauge.Say("sum.name-unknown", gauge.Text("name", e.name))
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
