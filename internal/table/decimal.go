package table

import (
	"strings"

	"gauged/internal/gauge"
)

// Decimal is how numbers are written in one table: with a point or with a comma.
type Decimal struct {
	separator byte
	said      byte // '.' or ',': a remark of the file says so
	seen      byte // the sign of the first number that has one
	line      int  // of that number
}

// say takes a remark above the column names, such as "# decimal: comma".
func (d *Decimal) say(remark string) {
	name, sign, _ := strings.Cut(strings.ToLower(remark), ":")
	if strings.TrimSpace(name) != "decimal" {
		return
	}
	switch strings.TrimSpace(sign) {
	case "comma":
		d.said = ','
	case "point":
		d.said = '.'
	}
}

// Point writes a number of a line with a point. Other texts stay as they are; what is
// no number is for the parser of numbers to say. A range such as 0,15..0,20 is two
// numbers.
func (d *Decimal) Point(text string, line int) (string, error) {
	rest := strings.ReplaceAll(text, "..", " ")
	commas, points := strings.Count(rest, ","), strings.Count(rest, ".")
	parts := 1 + strings.Count(text, "..")
	switch {
	case commas == 0 && points == 0:
		return text, nil
	case commas == 0 && points > parts: // such as 01.02.2026: no number
		return text, nil
	case commas > 0 && points > 0 || commas > parts:
		return "", wrong("file.decimal.several", Quoted(text))
	case commas > 0 && d.said == '.':
		return "", wrong("file.decimal.said-point", Quoted(text))
	case points > 0 && d.said == ',':
		return "", wrong("file.decimal.said-comma", Quoted(text))
	case commas > 0 && d.said == 0 && d.separator != ';':
		return "", wrong("file.decimal.comma", Quoted(text))
	}
	sign := byte('.')
	if commas > 0 {
		sign = ','
	}
	switch {
	case d.seen == 0:
		d.seen, d.line = sign, line
	case d.seen != sign && sign == ',':
		return "", wrong("file.decimal.seen-point", Quoted(text), gauge.Count("line", d.line))
	case d.seen != sign:
		return "", wrong("file.decimal.seen-comma", Quoted(text), gauge.Count("line", d.line))
	}
	return strings.ReplaceAll(text, ",", "."), nil
}
