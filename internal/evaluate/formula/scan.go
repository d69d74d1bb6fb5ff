package formula

import (
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
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

// The characters that numbers and names are made of.
const (
	Digits  = "0123456789"
	Letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_"
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
		case strings.Contains(Letters, c):
			tokens = append(tokens, token{tokenName, prefixOf(text[at:], Letters+Digits), at})
		case strings.Contains(Digits+".", c):
			number := prefixOf(text[at:], Digits+".")
			if strings.Count(number, ".") > 1 || number == "." || len(number) > maxNumber {
				return nil, gauge.WrongInput("sum.no-number", shopfile.Quoted("text", number))
			}
			tokens = append(tokens, token{tokenNumber, number, at})
		default:
			if odd, _, typed := shopfile.LookAlike(text); odd != "" {
				return nil, gauge.WrongInput("sum.look-alike", gauge.Count("at", len([]rune(text[:at]))+1), gauge.Word("odd", odd), shopfile.Quoted("typed", strings.Join(strings.Fields(typed), " ")))
			}
			return nil, gauge.WrongInput("sum.character", shopfile.Quoted("character", string([]rune(text[at:])[0])))
		}
		at += len(tokens[len(tokens)-1].text)
	}
	return append(tokens, token{tokenEnd, "", len(text)}), nil
}

func prefixOf(text, set string) string {
	return text[:len(text)-len(strings.TrimLeft(text, set))]
}

// IsName reports whether a text can stand in an expression as a name: letters,
// digits and _, beginning with a letter.
func IsName(text string) bool {
	tokens, err := scan(text)
	return err == nil && len(tokens) == 2 && tokens[0].kind == tokenName
}

// IsFunction reports whether a text is the name of a function, so that nothing else
// may have it.
func IsFunction(text string) bool { return slices.Contains(functions, text) || text == NameFitted }

// IsNumber reports whether a text is a plain decimal number without a sign.
func IsNumber(text string) bool {
	tokens, err := scan(text)
	return err == nil && len(tokens) == 2 && tokens[0].kind == tokenNumber
}
