package table

import (
	"errors"
	"fmt"
	"strings"
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
		return "", fmt.Errorf("%q has more than one decimal sign: write the number without signs between the thousands", text)
	case commas > 0 && d.said == '.':
		return "", fmt.Errorf("%q has a comma, and a remark of the file says that the decimal sign is a point: write a point", text)
	case points > 0 && d.said == ',':
		return "", fmt.Errorf("%q has a point, and a remark of the file says that the decimal sign is a comma: write a comma, and nothing between the thousands", text)
	case commas > 0 && d.said == 0 && d.separator != ';':
		return "", fmt.Errorf(`%q may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names`, text)
	}
	sign := byte('.')
	if commas > 0 {
		sign = ','
	}
	switch {
	case d.seen == 0:
		d.seen, d.line = sign, line
	case d.seen != sign && sign == ',':
		return "", fmt.Errorf("%q has a comma, and in line %d the decimal sign is a point: write all numbers alike, and nothing between the thousands", text, d.line)
	case d.seen != sign:
		return "", fmt.Errorf("%q has a point, and in line %d the decimal sign is a comma: write all numbers alike, and nothing between the thousands", text, d.line)
	}
	return strings.ReplaceAll(text, ",", "."), nil
}

var errNotText = errors.New("this is no text file, but perhaps a workbook: save the sheet as CSV (UTF-8), and give that file")
