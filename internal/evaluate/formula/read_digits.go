package formula

import (
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// ReadDigits reads a rule for the last digit; problems are reported to m.
func (t *Table) ReadDigits(m *shopfile.Map) {
	t.Mode, t.Keys = TableDigits, []TableKey{{Name: "a value", Unit: t.Unit}}
	t.digits = t.digitRule(m)
}

func (t *Table) digitRule(m *shopfile.Map) *digitRule {
	size := m.Get("last_digit")
	d := &digitRule{size: Exact(*size.Positive(t.Unit, false), t.Unit)}
	finer := m.Get("finer")
	if !finer.Given() {
		size.Wrong(gauge.Say("entry.digits-finer"))
	} else {
		d.cut = finer.OneOf("cut off", "rounded") == "cut off"
	}
	for _, key := range []string{"mode", "by", "columns", "file"} {
		m.Get(key).Wrong(gauge.Say("entry.digits-no", gauge.Text("key", key)))
	}
	rows := m.Need("rows")
	if !rows.Given() {
		return d
	}
	next := int64(0)
	before := int64(0)
	for _, e := range rows.Map().Entries() {
		first, last, ok := digitRange(e.Key.Text())
		if !ok || first != next {
			e.Key.Wrong(gauge.Say("entry.digits-order", e.Key.As("text"), gauge.Count("next", next)))
			return d
		}
		to, ok := newDigit(e.Value.Text())
		if !ok {
			e.Value.Wrong(gauge.Say("entry.digits-none", e.Value.As("text")))
			return d
		}
		if to < before {
			e.Value.Wrong(gauge.Say("entry.digits-less", e.Value.As("text")))
		}
		before = to
		for ; next <= last; next++ {
			d.to[next] = to
		}
	}
	if next < 10 {
		rows.Wrong(gauge.Say("entry.digits-missing", gauge.Count("next", next)))
	}
	return d
}

// digitRange reads a digit, or digits from one to another.
func digitRange(text string) (first, last int64, ok bool) {
	from, to, isRange := strings.Cut(text, "-")
	if !isRange {
		to = from
	}
	first, errFirst := strconv.ParseInt(from, 10, 64)
	last, errLast := strconv.ParseInt(to, 10, 64)
	return first, last, errFirst == nil && errLast == nil && first <= last && first >= 0 && last <= 9
}

// newDigit reads the digit that stands in the place of another.
func newDigit(text string) (int64, bool) {
	digit, next := strings.CutPrefix(text, "next ")
	n, err := strconv.ParseInt(digit, 10, 64)
	if err != nil || n < 0 || n > 9 {
		return 0, false
	}
	if next {
		n += 10
	}
	return n, true
}
