package evaluate

import (
	"fmt"
	"strings"
)

type tokenKind uint8

const (
	tokenEnd tokenKind = iota
	tokenName
	tokenNumber
	tokenOperator
)

type token struct {
	kind tokenKind
	text string
	at   int // byte offset
}

const (
	digits  = "0123456789"
	letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_"
)

// maxNumber bounds the digits of one number, so that exact arithmetic stays small.
const maxNumber = 30

// scan parts an expression into names, decimal numbers and + - * / ( ) ,. A
// name has no hyphen, which would be a minus sign here.
func scan(text string) ([]token, error) {
	var tokens []token
	for at := 0; at < len(text); {
		c := text[at : at+1]
		switch {
		case c == " ":
			at++
			continue
		case strings.Contains("+-*/(),", c):
			tokens = append(tokens, token{tokenOperator, c, at})
		case strings.Contains(letters, c):
			tokens = append(tokens, token{tokenName, prefixOf(text[at:], letters+digits), at})
		case strings.Contains(digits+".", c):
			number := prefixOf(text[at:], digits+".")
			if strings.Count(number, ".") > 1 || number == "." || len(number) > maxNumber {
				return nil, fmt.Errorf("%q is not a number", number)
			}
			tokens = append(tokens, token{tokenNumber, number, at})
		default:
			return nil, fmt.Errorf("the character %q has no place in a sum", []rune(text[at:])[0])
		}
		at += len(tokens[len(tokens)-1].text)
	}
	return append(tokens, token{tokenEnd, "", len(text)}), nil
}

func prefixOf(text, set string) string {
	return text[:len(text)-len(strings.TrimLeft(text, set))]
}
