package formula

import (
	"math/big"
	"strconv"
)

// printed is the rule row by row, such as 3-7 and 5.
func (d *digitRule) printed() [][]string {
	var rows [][]string
	for first := 0; first < 10; {
		last := first
		for last < 9 && d.to[last+1] == d.to[first] {
			last++
		}
		digits, to := strconv.Itoa(first), strconv.FormatInt(d.to[first]%10, 10)
		if last > first {
			digits += "-" + strconv.Itoa(last)
		}
		if d.to[first] >= 10 {
			to = "next " + to
		}
		rows = append(rows, []string{digits, to})
		first = last + 1
	}
	return rows
}

// Printed is a table row by row, each with its key first; where there are two
// keys, the first row has the heads of the columns. text writes a cell; nil: its
// value in the table's unit.
func (t *Table) Printed(text func(*big.Rat) string) [][]string {
	if text == nil {
		text = func(cell *big.Rat) string {
			l, err := InUnit(cell, t.Unit)
			if err != nil {
				return cell.FloatString(3)
			}
			return l.TextIn(t.Unit)
		}
	}
	if t.digits != nil {
		return t.digits.printed()
	}
	var rows [][]string
	if len(t.Keys) > 1 {
		rows = append(rows, append([]string{""}, t.Keys[1].Texts...))
	}
	for i, cells := range t.cells {
		row := []string{t.Keys[0].Texts[i]}
		for _, cell := range cells {
			if cell == nil {
				row = append(row, "")
				continue
			}
			row = append(row, text(cell))
		}
		rows = append(rows, row)
	}
	return rows
}
