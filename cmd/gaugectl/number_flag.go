package main

import (
	"errors"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
)

// numberFlag is a flag whose value is a decimal number.
type numberFlag struct{ to *float64 }

func numberVar(flags *pflag.FlagSet, to *float64, name string, usual float64, usage string) {
	*to = usual
	flags.Var(numberFlag{to}, name, usage)
}

func (f numberFlag) Set(text string) error {
	text = strings.TrimSpace(text) // see guardNegative
	x, err := parseNumber(text)
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
