package devices

import (
	"math/big"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// mostDecimals is how many decimals a gauge shows at most.
const mostDecimals = 9

// numberRule is what makes a length of the digits in a frame, besides their sign:
// where the point stands when the frame has none, and what they are multiplied by.
type numberRule struct {
	decimals map[gauge.Unit]int // nil: the digits have their point, or a group or field says it
	scale    string             // decimal; empty: 1
}

// readNumber reads decimals and scale. Layouts of bits and registers have
// decimals of their own.
func (l *Layout) readNumber(m *shopfile.Map, flaws *flaws) {
	decimals, scale := m.Get("decimals"), m.Get("scale")
	if l.whole == nil && decimals.Given() {
		flaws.at(decimals, gauge.Say("layout.decimals-text"))
	} else if decimals.Given() {
		l.number.decimals = readDecimals(decimals)
		if l.groups.decimals != 0 {
			flaws.at(decimals, gauge.Say("layout.decimals-twice"))
		}
	}
	if !scale.Given() {
		return
	}
	l.number.scale = scale.Text()
	if n, ok := new(big.Rat).SetString(l.number.scale); !ok || n.Sign() <= 0 || strings.Trim(l.number.scale, "0123456789.") != "" || len(l.number.scale) > 12 {
		flaws.at(scale, gauge.Say("layout.scale", shopfile.Quoted("text", l.number.scale)))
	}
}

// readDecimals reads one number of decimals, or one by unit.
func readDecimals(v shopfile.Value) map[gauge.Unit]int {
	decimals := map[gauge.Unit]int{}
	if !v.IsMap() {
		n := v.Int(0, mostDecimals)
		for _, u := range gauge.Units(gauge.Sent...) {
			decimals[u] = n
		}
		return decimals
	}
	m := v.Map()
	for _, u := range gauge.Units(gauge.Sent...) {
		if n := m.Get(u.String()); n.Given() {
			decimals[u] = n.Int(0, mostDecimals)
		}
	}
	m.Done()
	return decimals
}

// pointed puts the point into digits of text that came without one. stated is
// what the frame says of its decimals, empty when it does not.
func (l *Layout) pointed(shown, stated string, u gauge.Unit) (string, *Rejection) {
	decimals, implied := l.number.decimals[u]
	if stated != "" {
		n, err := strconv.Atoi(stated)
		if err != nil || n > mostDecimals {
			return "", &Rejection{gauge.ReasonNumber, gauge.Say("rejected.no-decimals", shopfile.Quoted("stated", stated))}
		}
		decimals, implied = n, true
	}
	switch {
	case !implied && l.number.decimals != nil:
		return "", &Rejection{gauge.ReasonUnit, gauge.Say("rejected.decimals-unknown", gauge.Text("unit", u.String()))}
	case !implied:
		return shown, nil
	case strings.Contains(shown, "."):
		return "", &Rejection{gauge.ReasonNumber, gauge.Say("rejected.own-point", shopfile.Quoted("shown", shown))}
	}
	digits := strings.TrimLeft(shown, "+-")
	return shown[:len(shown)-len(digits)] + withPoint(digits, decimals), nil
}

// withPoint puts a point before the last decimals of plain digits.
func withPoint(digits string, decimals int) string {
	if missing := decimals + 1 - len(digits); missing > 0 {
		digits = strings.Repeat("0", missing) + digits
	}
	if decimals == 0 {
		return digits
	}
	return digits[:len(digits)-decimals] + "." + digits[len(digits)-decimals:]
}

// scaled multiplies digits by the layout's scale, exactly. What is not a decimal
// is left to be refused as a length.
func (l *Layout) scaled(shown string) string {
	if l.number.scale == "" {
		return shown
	}
	digits := strings.TrimLeft(shown, "+-")
	n, decimals, ok := wholeOf(digits)
	by, more, _ := wholeOf(l.number.scale)
	if !ok {
		return shown
	}
	return shown[:len(shown)-len(digits)] + withPoint(n.Mul(n, by).String(), decimals+more)
}

// wholeOf reads digits without their point, and how many stood behind it.
func wholeOf(digits string) (n *big.Int, decimals int, ok bool) {
	whole, fraction, _ := strings.Cut(digits, ".")
	if strings.Trim(whole+fraction, "0123456789") != "" {
		return nil, 0, false
	}
	n, ok = new(big.Int).SetString(whole+fraction, 10)
	return n, len(fraction), ok
}

// unscaled is what a gauge counts for a length: the length divided by the scale,
// and false when that is no whole number of picometres.
func (l *Layout) unscaled(length gauge.Length) (gauge.Length, bool) {
	if l.number.scale == "" {
		return length, true
	}
	by, decimals, _ := wholeOf(l.number.scale)
	n := new(big.Int).Mul(big.NewInt(int64(length)), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
	quotient, rest := n.QuoRem(n, by, new(big.Int))
	return gauge.Length(quotient.Int64()), rest.Sign() == 0 && quotient.IsInt64()
}
