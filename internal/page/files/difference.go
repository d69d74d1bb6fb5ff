package files

import "strings"

// Change is one line of a comparison.
type Change struct {
	Sign string // "-" is only in the first text, "+" only in the second, "" in both, "…" lines that are equal and left out
	Line int    // of the second text, of a line that is only in the first: of that
	Text string
}

const (
	around      = 3         // equal lines shown before and after a change
	mostCompare = 4_000_000 // cells of the table of a comparison; beyond, the middle counts as changed whole
	longestLine = 400       // bytes shown of a line
)

// Differences compares two texts line by line; nil when they are equal.
func Differences(before, after string) []Change {
	if before == after {
		return nil
	}
	a, b := strings.Split(before, "\n"), strings.Split(after, "\n")
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	var all []Change
	equal := func(from, to int) {
		for i := from; i < to; i++ {
			all = append(all, Change{"", i + 1, b[i]})
		}
	}
	equal(0, head)
	all = append(all, middle(a[head:len(a)-tail], b[head:len(b)-tail], head)...)
	equal(len(b)-tail, len(b))
	return shortened(all)
}

// middle compares what stands between the first and the last change by the
// longest common subsequence.
func middle(a, b []string, offset int) []Change {
	var changes []Change
	removed := func(i int) { changes = append(changes, Change{"-", offset + i + 1, a[i]}) }
	added := func(j int) { changes = append(changes, Change{"+", offset + j + 1, b[j]}) }
	i, j := 0, 0
	if len(a)*len(b) <= mostCompare {
		common := commonLines(a, b)
		for i < len(a) && j < len(b) {
			switch {
			case a[i] == b[j]:
				changes = append(changes, Change{"", offset + j + 1, b[j]})
				i, j = i+1, j+1
			case common[i+1][j] >= common[i][j+1]:
				removed(i)
				i++
			default:
				added(j)
				j++
			}
		}
	}
	for ; i < len(a); i++ {
		removed(i)
	}
	for ; j < len(b); j++ {
		added(j)
	}
	return changes
}

// commonLines says of how many lines the longest common subsequence of the
// texts from line i of a and line j of b has.
func commonLines(a, b []string) [][]int32 {
	common := make([][]int32, len(a)+1)
	for i := range common {
		common[i] = make([]int32, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				common[i][j] = common[i+1][j+1] + 1
			} else {
				common[i][j] = max(common[i+1][j], common[i][j+1])
			}
		}
	}
	return common
}

// shortened leaves out equal lines far from any change.
func shortened(all []Change) []Change {
	near := make([]bool, len(all))
	for i, c := range all {
		if c.Sign != "" {
			for k := max(0, i-around); k <= min(len(all)-1, i+around); k++ {
				near[k] = true
			}
		}
	}
	var shown []Change
	for i, c := range all {
		switch {
		case near[i]:
			if len(c.Text) > longestLine {
				c.Text = strings.ToValidUTF8(c.Text[:longestLine], "") + " …"
			}
			shown = append(shown, c)
		case i == 0 || near[i-1]:
			shown = append(shown, Change{Sign: "…"})
		}
	}
	return shown
}
