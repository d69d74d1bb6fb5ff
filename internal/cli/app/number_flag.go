package app

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"gauged/internal/gauge"

	"github.com/spf13/pflag"
)

// numberFlag is a flag whose value is a decimal number.
type numberFlag struct{ to *float64 }

// NumberVar adds a flag whose value is a decimal number.
func NumberVar(flags *pflag.FlagSet, to *float64, name string, usual float64, usage string) {
	*to = usual
	flags.Var(numberFlag{to}, name, usage)
}

func (f numberFlag) Set(text string) error {
	text = strings.TrimSpace(text) // see guardNegative
	x, err := ParseNumber(text)
	if err != nil {
		return errors.New("it is not a decimal number such as 0.1")
	}
	*f.to = x
	return nil
}

func (f numberFlag) String() string {
	if f.to == nil {
		return "0"
	}
	return strconv.FormatFloat(*f.to, 'g', -1, 64)
}

// Type is what help names the value.
func (f numberFlag) Type() string { return "float" }

// countFlag is a flag whose value is how many.
type countFlag struct{ to *uint32 }

func (f countFlag) Set(text string) error {
	n, err := strconv.ParseUint(strings.TrimSpace(text), 10, 32) // see guardNegative
	if err != nil {
		return errors.New("it is not a whole number such as 50")
	}
	*f.to = uint32(n)
	return nil
}

func (f countFlag) String() string {
	if f.to == nil {
		return "0"
	}
	return strconv.FormatUint(uint64(*f.to), 10)
}

// Type is what help names the value.
func (f countFlag) Type() string { return "uint32" }

// ParseNumber reads a decimal number as people write it.
func ParseNumber(text string) (float64, error) {
	x, err := strconv.ParseFloat(text, 64)
	decimal := strings.Trim(text, "0123456789+-.eE") == "" // as people write it: no infinity, no underscores
	switch {
	case err != nil && strings.Contains(text, ","):
		return 0, gauge.WrongInput("refusal.number.comma", gauge.Text("text", text), gauge.Word("kind", gauge.KindNumber.Word()))
	case !decimal || errors.Is(err, strconv.ErrSyntax):
		return 0, gauge.WrongInput("row.no-number", gauge.Text("text", text))
	case math.Abs(x) > Largest:
		return 0, gauge.WrongInput("row.too-large", gauge.Text("text", text))
	}
	return x, nil
}

// Largest is the size up to which a number of the file is read: what is larger
// is a slip, and its squares would overflow.
const Largest = 1e100
