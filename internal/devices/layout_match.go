package devices

import (
	"errors"
	"regexp"
	"regexp/syntax"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

func (l *Layout) readMatch(v shopfile.Value, flaws *flaws) {
	pattern := v.Text()
	if !v.Given() || pattern == "" || len(pattern) > longestMatch {
		flaws.at(v, gauge.Say("layout.match-long", gauge.Count("size", len(pattern)), gauge.Count("most", longestMatch)))
		return
	}
	parsed, err := syntax.Parse(pattern, syntax.Perl)
	if err != nil {
		flaws.at(v, gauge.Say("layout.match", gauge.Because("why", err)))
		return
	}
	program, err := syntax.Compile(parsed.Simplify())
	if err != nil {
		flaws.at(v, gauge.Say("layout.match", gauge.Because("why", err)))
		return
	}
	if len(program.Inst) > longestProgram {
		flaws.at(v, gauge.Say("layout.match-steps", gauge.Count("steps", len(program.Inst)), gauge.Count("most", longestProgram)))
		return
	}
	whole, errWhole := regexp.Compile(`\A(?:` + pattern + `)\z`)
	suffix, errSuffix := regexp.Compile(`(?:` + pattern + `)\z`)
	if err := errors.Join(errWhole, errSuffix); err != nil {
		flaws.at(v, gauge.Say("layout.match", gauge.Because("why", err)))
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
			flaws.at(v, gauge.Say("layout.no-group", shopfile.Quoted("group", name)))
			return
		}
	}
	if l.groups.value == 0 {
		flaws.at(v, gauge.Say("layout.value-group"))
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
		flaws.at(v, gauge.Say("layout.match-zero"))
	}
}
