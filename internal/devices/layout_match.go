package devices

import (
	"errors"
	"regexp"
	"regexp/syntax"

	"gauged/internal/shopfile"
)

func (l *Layout) readMatch(v shopfile.Value, flaws *flaws) {
	pattern := v.Text()
	if !v.Given() || pattern == "" || len(pattern) > longestMatch {
		flaws.at(v, "match has %d characters: it needs 1 to %d", len(pattern), longestMatch)
		return
	}
	parsed, err := syntax.Parse(pattern, syntax.Perl)
	if err != nil {
		flaws.at(v, "%v", err)
		return
	}
	program, err := syntax.Compile(parsed.Simplify())
	if err != nil {
		flaws.at(v, "%v", err)
		return
	}
	if len(program.Inst) > longestProgram {
		flaws.at(v, "match becomes a program of %d steps; at most %d are taken: repeat less", len(program.Inst), longestProgram)
		return
	}
	whole, errWhole := regexp.Compile(`\A(?:` + pattern + `)\z`)
	suffix, errSuffix := regexp.Compile(`(?:` + pattern + `)\z`)
	if err := errors.Join(errWhole, errSuffix); err != nil {
		flaws.at(v, "%v", err)
		return
	}
	l.whole, l.suffix = whole, suffix
	l.allowBytes(program, flaws, v)
	for i, name := range whole.SubexpNames() {
		switch name {
		case "":
		case "value":
			l.groups.value = i
		case "unit":
			l.groups.unit = i
		case "low_battery":
			l.groups.lowBattery = i
		case "channel":
			l.groups.channel = i
		case "decimals":
			l.groups.decimals = i
		default:
			flaws.at(v, "%q is not a group here: the groups are value, unit, low_battery, channel, decimals", name)
			return
		}
	}
	if l.groups.value == 0 {
		flaws.at(v, "match needs a group (?P<value>...) around the digits and their sign")
	}
}

// allowBytes marks the bytes that some part of the pattern can match.
func (l *Layout) allowBytes(program *syntax.Prog, flaws *flaws, v shopfile.Value) {
	for _, inst := range program.Inst {
		switch inst.Op {
		case syntax.InstRune, syntax.InstRune1, syntax.InstRuneAny, syntax.InstRuneAnyNotNL:
			for b := range rune(len(l.stands)) {
				if inst.MatchRune(b) {
					l.stands[b] = true
				}
			}
		}
	}
	if l.stands[0] {
		flaws.at(v, "match allows the byte 0x00, as which a wrong parity arrives: write [ -~] instead of . and name what a class may hold instead of [^...]")
	}
}
