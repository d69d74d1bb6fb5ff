package formula

import "math/big"

// Steps reports whether a function gives another value all at once when its
// argument passes a border.
func (n *Node) Steps() bool {
	return IsRounding(n.Name) || n.Table != nil && n.Table.Mode != TableInterpolate
}

// Rises are by how much the value of an interpolated table rises with each of its
// keys, at these values of them: per unit of the key, as is computed with. Where two
// straight lines meet, it is the steeper. A key outside the table is a *RefusalError.
func (t *Table) Rises(keys []*big.Rat) ([]*big.Rat, error) {
	at := make([]position, len(keys))
	for i, x := range keys {
		var err error
		if at[i], err = t.find(i, x); err != nil {
			return nil, err
		}
	}
	all := make([]*big.Rat, len(keys))
	for i := range keys {
		all[i] = t.rise(i, at)
	}
	return all, nil
}

// rise is by how much an interpolated value rises with a key.
func (t *Table) rise(key int, at []position) *big.Rat {
	k := &t.Keys[key]
	rows := []int{at[key].row}
	if at[key].share == nil && at[key].row > 0 {
		rows = append(rows, at[key].row-1)
	}
	steepest := new(big.Rat)
	for _, row := range rows {
		if row+1 >= len(k.Low) {
			continue
		}
		here, there := append([]position{}, at...), append([]position{}, at...)
		here[key], there[key] = position{row: row}, position{row: row + 1}
		low, err := t.value(here)
		high, err2 := t.value(there)
		if err != nil || err2 != nil {
			continue
		}
		rise := new(big.Rat).Sub(high, low)
		rise.Quo(rise, new(big.Rat).Sub(k.Low[row+1], k.Low[row]))
		if new(big.Rat).Abs(rise).Cmp(new(big.Rat).Abs(steepest)) > 0 {
			steepest = rise
		}
	}
	return steepest
}
