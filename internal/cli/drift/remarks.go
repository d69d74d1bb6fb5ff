package drift

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"gauged/internal/cli/show"
	"gauged/internal/health/drift"
)

// remarks say what in a file of checks may not be meant as it is read.
func (f *checkFile) remarks() (all []string) {
	if f.clock.dates > 0 {
		all = append(all, "The times are taken as plain numbers, and some look like a date: write 2025-01-10, not 20250110, where dates are meant.")
	}
	if f.asFound > 0 {
		all = append(all, fmt.Sprintf("%s the error as left equal to that as found. That is not an adjustment: leave the cell empty.", show.Plural(f.asFound, "check")+have(f.asFound)))
	}
	all = append(all, alikeMasters(f.series)...)
	for _, s := range f.series {
		at := ""
		if s.Point != "" {
			at = "At " + s.Point + ": "
		}
		for _, remark := range []string{unstated(s.Checks), sharedChanges(s.Checks), longGap(s.Checks, f.clock.numeric())} {
			if remark != "" {
				all = append(all, at+remark)
			}
		}
	}
	return all
}

func have(n int) string {
	if n == 1 {
		return " has"
	}
	return " have"
}

// alikeMasters names masters whose names differ in capitals, spaces and hyphens alone.
func alikeMasters(series []drift.Series) (all []string) {
	plain := func(name string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return unicode.ToLower(r)
			}
			return -1
		}, name)
	}
	for i, s := range series {
		same := func(o drift.Series) bool { return plain(o.Point) == plain(s.Point) }
		if first := slices.IndexFunc(series, same); first < i {
			all = append(all, fmt.Sprintf("The masters %q and %q are taken as two: write the name the same way if they are one.", series[first].Point, s.Point))
		}
	}
	return all
}

// unstated says that uncertainties count for nothing, as some are missing.
func unstated(checks []drift.Check) string {
	missing := 0
	for _, c := range checks {
		if c.Uncertainty <= 0 {
			missing++
		}
	}
	if missing == 0 || missing == len(checks) {
		return ""
	}
	return fmt.Sprintf("%d of %d checks have no uncertainty. So no uncertainty is used in the trend, and all checks count the same.", missing, len(checks))
}

// sharedChanges says that the shared uncertainty is not the same in all checks.
func sharedChanges(checks []drift.Check) string {
	last := checks[len(checks)-1].Shared
	if !slices.ContainsFunc(checks, func(c drift.Check) bool { return c.Shared != last }) {
		return ""
	}
	return fmt.Sprintf("the shared uncertainty differs between checks: that of the last one, %s, is used.", number(last))
}

// longGap names the longest interval where it is far longer than the others.
func longGap(checks []drift.Check, numeric bool) string {
	gap, usual, at := drift.LongestGap(checks)
	if gap == 0 {
		return ""
	}
	unit, when := " days", " before "+day(checks[at].Time)
	if numeric {
		unit, when = "", fmt.Sprintf(" before check %d", at+1)
	}
	return fmt.Sprintf("%s%s%s passed without a check, and usually %s%s: is the time right? The next interval is advised from the usual one.", number(gap), unit, when, number(usual), unit)
}
