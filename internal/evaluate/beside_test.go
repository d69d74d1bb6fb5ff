package evaluate

import (
	"testing"

	"gauged/internal/gauge"
)

// TestMissedLimitIsSeen: a value that misses a limit is never written as if it had reached
// it, neither in a finding nor beside its limits. Numbers ours.
func TestMissedLimitIsSeen(t *testing.T) {
	const head = "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g}}\n"
	for _, c := range []struct{ tail, readings, value, low, said string }{
		{"judge: {g: {min: 0.100, max: 0.200}}\n", "g 0.09996", "0.09996", "0.100", "g is 0.09996 mm, allowed is 0.100 to 0.200 mm."},
		{"judge: {g: {min: 0.100, max: 0.200}}\n", "g 0.10004", "0.1000", "0.100", ""},
		{"judge: {g: {min: 0.100, max: 0.200}}\n", "g 0.0994", "0.0994", "0.100", "g is 0.0994 mm, allowed is 0.100 to 0.200 mm."},
		{"judge: {g: {min: 0.100, max: 0.200}}\n", "g 0.0999996", "0.0999996", "0.100", "g is 0.0999996 mm, allowed is 0.100 to 0.200 mm."},
	} {
		e := evaluateText(t, head+c.tail, c.readings)
		j := e.Judgements[0]
		write := j.Beside(usualOf)
		if got := write(j.Value); got != c.value {
			t.Errorf("%s is written %s, not %s", c.readings, got, c.value)
		}
		if got := write(*j.Allowed.Min); got != c.low {
			t.Errorf("the limit of %s is written %s, not %s", c.readings, got, c.low)
		}
		if got := findingOf(e, FindingOutOfBounds); got != c.said {
			t.Errorf("%s: %q, not %q", c.readings, got, c.said)
		}
	}
}

// TestComputedLimitMissed: a limit that is rounded itself gets the digits, too.
func TestComputedLimitMissed(t *testing.T) {
	low, missed := gauge.Length(100_000_040), gauge.Length(100_000_000)
	j := Judgement{Value: missed, Unit: gauge.Millimetre}
	j.Allowed.Min = &low
	write := j.Beside(usualOf)
	if value, limit := write(missed), write(low); value != "0.100" || limit != "0.10000004" {
		t.Errorf("%s beside %s", value, limit)
	}
	j.Value, j.Allowed.Min, j.Allowed.Max, j.Unit = low, nil, &missed, gauge.Millimetre
	if value, limit := j.Beside(usualOf)(low), j.Beside(usualOf)(missed); value != "0.10000004" || limit != "0.100" {
		t.Errorf("%s beside %s", value, limit)
	}
	torque, most := gauge.Length(300_000_020), gauge.Length(300_000_000)
	j = Judgement{Value: torque, Unit: gauge.NewtonMetre}
	j.Allowed.Max = &most
	write = j.Beside(func(l gauge.Length) string { return l.TextIn(gauge.NewtonMetre) })
	if value, limit := write(torque), write(most); value != "0.30000002" || limit != "0.3" {
		t.Errorf("%s beside %s", value, limit)
	}
}

// TestMissedTorque: the limit of a torque is told from a mean that is hardly beyond it.
func TestMissedTorque(t *testing.T) {
	e := evaluateText(t, "procedure: p\ntitle: t\nunit: mm\nmeasure: {d: {title: d, unit: N m}}\njudge: {d: {max: 0.3}}\n", "d 0.300000001")
	want := "d is 0.300000001 N m, allowed is at most 0.3 N m."
	if got := findingOf(e, FindingOutOfBounds); got != want {
		t.Errorf("%q, not %q", got, want)
	}
}

// TestEveryMissIsSeen: whatever the values, the digits say on which side of the limit the
// value lies.
func TestEveryMissIsSeen(t *testing.T) {
	for limit := gauge.Length(99_999_900); limit < 100_000_100; limit += 7 {
		for _, off := range []gauge.Length{1, 3, 40, 700, 50_000} {
			j := Judgement{Value: limit - off, Unit: gauge.Millimetre}
			j.Allowed.Min = &limit
			write := j.Beside(usualOf)
			if value, low := shownLength(t, write(j.Value)), shownLength(t, write(limit)); value >= low {
				t.Fatalf("%d pm beside at least %d pm is written %s beside %s", j.Value, limit, write(j.Value), write(limit))
			}
		}
	}
}

// usualOf is how a procedure in millimetres writes a length.
func usualOf(l gauge.Length) string {
	if l.Exact(gauge.Millimetre, 3) {
		return l.Text(gauge.Millimetre, 3)
	}
	return l.Text(gauge.Millimetre, 4)
}

func shownLength(t *testing.T, text string) gauge.Length {
	t.Helper()
	l, err := gauge.ParseLength(text, gauge.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	return l
}
