package app

import (
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// TypedValue reads digits and a unit, such as 0.078 in, 1.98mm or 0.35 N m; the
// unit must be of one of the given kinds when there are any. The digits stay
// as they were typed; a unit is never guessed.
func TypedValue(text string, kinds ...gauge.Kind) (digits string, unit pb.Unit, err error) {
	text = strings.Join(strings.Fields(text), " ")
	digits, symbol := SplitUnit(text)
	if symbol == "" {
		return "", 0, gauge.MissingUnit(digits, append(gauge.Units(kinds...), gauge.Millimetre)[0])
	}
	parsed, err := gauge.ParseUnit(symbol, kinds...)
	if err != nil {
		return "", 0, err
	}
	for end := range strings.SplitSeq(digits, "..") { // a feeler gauge gives an interval
		if _, err := gauge.ParseLength(end, parsed); err != nil {
			return "", 0, err
		}
	}
	return digits, wire.Unit(parsed), nil
}

// TypedReading reads a value with its unit, or a mark as it is: text that does
// not begin like a number. A value without a unit is left to the daemon, which
// knows what is measured.
func TypedReading(text string) (shown string, unit pb.Unit, err error) {
	text = strings.TrimSpace(text)
	_, err = gauge.ParseUnit(text)
	if bareUnit := err == nil; text != "" && !bareUnit && !strings.ContainsRune("+-.0123456789", rune(text[0])) {
		return text, pb.Unit_UNIT_UNSPECIFIED, nil
	}
	if digits, symbol := SplitUnit(text); symbol == "" && text != "" {
		return digits, pb.Unit_UNIT_UNSPECIFIED, nil
	}
	return TypedValue(text)
}

// SplitUnit parts the words and letters at the end of a text from its digits.
// The symbol 1 of a plain number needs a space before it.
func SplitUnit(text string) (digits, symbol string) {
	digits = strings.TrimRight(text, " abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ\u00b5\u03bc")
	if symbol = strings.TrimSpace(text[len(digits):]); symbol != "" {
		return digits, symbol
	}
	if number, ok := strings.CutSuffix(text, " "+gauge.One.String()); ok {
		return number, gauge.One.String()
	}
	return digits, ""
}

// UnitList names the units that can be typed.
func UnitList() string {
	return strings.Join(gauge.Symbols(), ", ")
}

// JobThenUnit offers jobs for the first argument and units for the third.
func JobThenUnit(jobs Completer) Completer {
	units := Fixed(gauge.Symbols()...)
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) == 2 {
			return units(cmd, args, begun)
		}
		return jobs(cmd, args, begun)
	}
}

// ParseUnitFlag reads a unit in which a gauge sends; empty is unknown.
func ParseUnitFlag(symbol string) (gauge.Unit, error) {
	if symbol == "" {
		return gauge.UnitUnknown, nil
	}
	u, err := gauge.ParseUnit(symbol, gauge.Sent...)
	if err != nil {
		return u, Usagef("--unit: %w", err)
	}
	return u, nil
}

// JobNumber reads the number of a job.
func JobNumber(text string) (uint64, error) {
	id, err := strconv.ParseUint(text, 10, 64)
	if err != nil || id == 0 {
		return 0, Usagef("%q is not the number of a job: gaugectl jobs lists them", text)
	}
	return id, nil
}

// DayOrTime reads a time, or a day that begins where people are; that of a file
// begins as the days of its jobs do.
func DayOrTime(text string, where *time.Location) (time.Time, error) {
	if at, err := time.ParseInLocation(time.DateOnly, text, where); err == nil {
		return at, nil
	}
	return time.Parse(time.RFC3339, text)
}
