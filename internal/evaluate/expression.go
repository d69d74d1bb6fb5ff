package evaluate

import (
	"fmt"
	"math/big"
	"strings"

	"gauged/internal/gauge"
)

// Expression is a signed sum of named lengths and constants, such as
// "depth - height + gasket", "total/2 - play/2" or "2*(a - b)".
type Expression struct {
	text     string
	tokens   []token
	terms    []term   // in order of first use
	constant *big.Rat // picometres
}

type term struct {
	name        string
	coefficient *big.Rat
}

// ParseExpression reads an expression whose bare numbers are lengths in unit
// u. Names may be joined by + and -, multiplied or divided by numbers, and
// grouped by parentheses; a product of two names is not a length and refused.
func ParseExpression(text string, u gauge.Unit) (*Expression, error) {
	tokens, err := scan(text)
	if err != nil {
		return nil, err
	}
	p := parser{tokens: tokens}
	sum, err := p.sum()
	if err != nil {
		return nil, err
	}
	if t := p.peek(); t.kind != tokenEnd {
		return nil, fmt.Errorf("%q is not expected at character %d", t.text, t.at+1)
	}
	e := &Expression{text: text, tokens: tokens}
	for _, name := range sum.names {
		if c := sum.coefficients[name]; c.Sign() != 0 {
			e.terms = append(e.terms, term{name, c})
		}
	}
	e.constant = new(big.Rat).Mul(sum.number, new(big.Rat).SetInt64(int64(u.Size())))
	if len(e.terms) == 0 {
		return nil, fmt.Errorf("it names no measurement, constant or value")
	}
	return e, nil
}

// String returns the expression as it was written.
func (e *Expression) String() string { return e.text }

// Names returns the names that the expression uses, in order of first use.
func (e *Expression) Names() []string {
	names := make([]string, len(e.terms))
	for i, t := range e.terms {
		names[i] = t.name
	}
	return names
}

// Value computes the expression exactly and rounds once, half to even, to a
// picometre. A name that values does not have is an error, as is a sum beyond
// the range of a length.
func (e *Expression) Value(values map[string]gauge.Length) (gauge.Length, error) {
	total := new(big.Rat).Set(e.constant)
	var product, length big.Rat
	for _, t := range e.terms {
		v, ok := values[t.name]
		if !ok {
			return 0, fmt.Errorf("%q has no value", t.name)
		}
		total.Add(total, product.Mul(t.coefficient, length.SetInt64(int64(v))))
	}
	return gauge.RoundRat(total)
}

// Worked writes the expression with numbers in the place of names; negative
// numbers stand in parentheses.
func (e *Expression) Worked(number func(name string) string) string {
	var b strings.Builder
	end := 0
	for _, t := range e.tokens {
		b.WriteString(e.text[end:t.at])
		end = t.at + len(t.text)
		if t.kind != tokenName {
			b.WriteString(t.text)
			continue
		}
		n := number(t.text)
		if strings.HasPrefix(n, "-") {
			n = "(" + n + ")"
		}
		b.WriteString(n)
	}
	return b.String()
}

// linear is a sum of names with coefficients, and a plain number.
type linear struct {
	number       *big.Rat
	names        []string
	coefficients map[string]*big.Rat
}

func plainNumber(r *big.Rat) linear {
	return linear{number: r, coefficients: map[string]*big.Rat{}}
}

func oneName(name string) linear {
	return linear{new(big.Rat), []string{name}, map[string]*big.Rat{name: big.NewRat(1, 1)}}
}

func (l linear) plain() bool { return len(l.names) == 0 }

func (l *linear) add(other linear, sign int64) {
	s := big.NewRat(sign, 1)
	l.number.Add(l.number, new(big.Rat).Mul(s, other.number))
	for _, name := range other.names {
		c, ok := l.coefficients[name]
		if !ok {
			c = new(big.Rat)
			l.names = append(l.names, name)
			l.coefficients[name] = c
		}
		c.Add(c, new(big.Rat).Mul(s, other.coefficients[name]))
	}
}

func (l *linear) scale(r *big.Rat) {
	l.number.Mul(l.number, r)
	for _, c := range l.coefficients {
		c.Mul(c, r)
	}
}

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

func (p *parser) sum() (linear, error) {
	if p.depth++; p.depth > maxDepth {
		return linear{}, fmt.Errorf("the parentheses are nested deeper than %d", maxDepth)
	}
	defer func() { p.depth-- }()
	total := plainNumber(new(big.Rat))
	sign := int64(1)
	if t, ok := p.takeIf("+-"); ok && t.text == "-" {
		sign = -1
	}
	for {
		product, err := p.product()
		if err != nil {
			return linear{}, err
		}
		total.add(product, sign)
		t, ok := p.takeIf("+-")
		if !ok {
			return total, nil
		}
		sign = 1
		if t.text == "-" {
			sign = -1
		}
	}
}

func (p *parser) product() (linear, error) {
	left, err := p.factor()
	if err != nil {
		return linear{}, err
	}
	for {
		t, ok := p.takeIf("*/")
		if !ok {
			return left, nil
		}
		right, err := p.factor()
		if err != nil {
			return linear{}, err
		}
		switch {
		case t.text == "/" && !right.plain():
			return linear{}, fmt.Errorf("a length is divided by a number only (character %d)", t.at+1)
		case t.text == "/" && right.number.Sign() == 0:
			return linear{}, fmt.Errorf("division by zero (character %d)", t.at+1)
		case t.text == "/":
			left.scale(new(big.Rat).Inv(right.number))
		case right.plain():
			left.scale(right.number)
		case left.plain():
			right.scale(left.number)
			left = right
		default:
			return linear{}, fmt.Errorf("a length times a length is not a length (character %d)", t.at+1)
		}
	}
}

func (p *parser) factor() (linear, error) {
	t := p.take()
	switch {
	case t.kind == tokenName:
		return oneName(t.text), nil
	case t.kind == tokenNumber:
		r, _ := new(big.Rat).SetString(t.text)
		return plainNumber(r), nil
	case t.kind == tokenOperator && t.text == "(":
		inner, err := p.sum()
		if err != nil {
			return linear{}, err
		}
		if _, ok := p.takeIf(")"); !ok {
			return linear{}, fmt.Errorf("the parenthesis at character %d is not closed", t.at+1)
		}
		return inner, nil
	case t.kind == tokenEnd:
		return linear{}, fmt.Errorf("it ends where a name or a number is needed")
	default:
		return linear{}, fmt.Errorf("%q stands at character %d where a name or a number is needed", t.text, t.at+1)
	}
}
