package formula

import (
	"math/big"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Operation is what a node of an expression does.
type Operation uint8

// The operations.
const (
	OpNumber Operation = iota
	OpName
	OpAdd
	OpSubtract
	OpMultiply
	OpDivide
	OpCall
)

// Node is a part of an expression: a number, a name, or an operation on its Args.
type Node struct {
	Op     Operation
	Number *big.Rat // of OpNumber
	Name   string   // of OpName, and of the function of OpCall
	Args   []*Node
	Over   bool   // a function over the readings of the one step that it names
	Table  *Table // that an OpCall looks up
	end    int    // of a function's text
	at     int    // byte offset in the text
}

// functions that an expression may call, most with any number of arguments; of
// the name of one step these take its readings.
var functions = []string{"abs", "cos", "down", "largest", "mean", "median", "range", "round", "sin", "smallest", "sqrt", "tan", "truncate", "up"}

// parser is a recursive descent over sum, product and factor.
type parser struct {
	tokens []token
	next   int
	depth  int
}

// maxDepth bounds nested parentheses.
const maxDepth = 50

func (p *parser) peek() token { return p.tokens[p.next] }

func (p *parser) take() token {
	t := p.tokens[p.next]
	if t.kind != tokenEnd {
		p.next++
	}
	return t
}

func (p *parser) takeIf(operators string) (token, bool) {
	t := p.peek()
	if t.kind == tokenOperator && strings.Contains(operators, t.text) {
		return p.take(), true
	}
	return t, false
}

func (p *parser) sum() (*Node, error) {
	if p.depth++; p.depth > maxDepth {
		return nil, gauge.WrongInput("sum.nested", gauge.Count("most", maxDepth))
	}
	defer func() { p.depth-- }()
	sign, signed := p.takeIf("+-")
	total, err := p.product()
	if err != nil {
		return nil, err
	}
	if signed && sign.text == "-" {
		total = &Node{Op: OpMultiply, Args: []*Node{{Op: OpNumber, Number: big.NewRat(-1, 1), at: sign.at}, total}, at: sign.at}
	}
	for {
		t, ok := p.takeIf("+-")
		if !ok {
			return total, nil
		}
		right, err := p.product()
		if err != nil {
			return nil, err
		}
		op := OpAdd
		if t.text == "-" {
			op = OpSubtract
		}
		total = &Node{Op: op, Args: []*Node{total, right}, at: t.at}
	}
}

func (p *parser) product() (*Node, error) {
	left, err := p.factor()
	if err != nil {
		return nil, err
	}
	for {
		t, ok := p.takeIf("*/")
		if !ok {
			return left, nil
		}
		right, err := p.factor()
		if err != nil {
			return nil, err
		}
		op := OpMultiply
		if t.text == "/" {
			op = OpDivide
		}
		left = &Node{Op: op, Args: []*Node{left, right}, at: t.at}
	}
}

func (p *parser) factor() (*Node, error) {
	t := p.take()
	switch {
	case t.kind == tokenName:
		if n, ok := p.placeName(t); ok {
			return n, nil
		}
		if open, ok := p.takeIf("("); ok {
			return p.call(t, open)
		}
		return &Node{Op: OpName, Name: t.text, at: t.at}, nil
	case t.kind == tokenNumber:
		r, _ := new(big.Rat).SetString(t.text)
		return &Node{Op: OpNumber, Number: r, at: t.at}, nil
	case t.kind == tokenOperator && t.text == "(":
		inner, err := p.sum()
		if err != nil {
			return nil, err
		}
		if _, ok := p.takeIf(")"); !ok {
			return nil, gauge.WrongInput("sum.open", gauge.Count("at", t.at+1))
		}
		return inner, nil
	case t.kind == tokenEnd:
		return nil, gauge.WrongInput("sum.ends")
	default:
		return nil, gauge.WrongInput("sum.no-operand", shopfile.Quoted("text", t.text), gauge.Count("at", t.at+1))
	}
}

// call reads the arguments of a function.
func (p *parser) call(name, open token) (*Node, error) {
	n := &Node{Op: OpCall, Name: name.text, at: name.at}
	for {
		arg, err := p.sum()
		if err != nil {
			return nil, err
		}
		n.Args = append(n.Args, arg)
		if _, ok := p.takeIf(","); ok {
			continue
		}
		end, ok := p.takeIf(")")
		if !ok {
			return nil, gauge.WrongInput("sum.open", gauge.Count("at", open.at+1))
		}
		n.end = end.at + len(end.text)
		return n, nil
	}
}
