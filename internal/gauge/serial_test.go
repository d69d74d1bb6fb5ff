package gauge

import (
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

// TestSerialKey: case, blanks and hyphens say nothing, all else does.
func TestSerialKey(t *testing.T) {
	for _, same := range []string{"SC-1", "sc 1", "SC1", " s-c–1\t", "SC\u00a01", "sc\u20111", "SC-1\r"} {
		if !SameSerial(same, "SC-1") {
			t.Errorf("%q is another unit than SC-1: %q", same, SerialKey(same))
		}
	}
	for _, other := range []string{"SC-2", "SC/1", "SC.1", "SC-11", "S-1", "5C-1"} {
		if SameSerial(other, "SC-1") {
			t.Errorf("%q is SC-1", other)
		}
	}
	if SerialKey("--") != "--" || SerialKey("äb 1") != "ÄB1" {
		t.Errorf("%q %q", SerialKey("--"), SerialKey("äb 1"))
	}
}

// TestSerialsAlike: which slips are asked about, each with what is no slip.
func TestSerialsAlike(t *testing.T) {
	for _, alike := range []string{"SC-OO42", "SC-004Z", "5C-0042", "SC-00422", "SC-042", "SD-0042", "SC-0024", "CS-0042", "C-0042", "SC-X0042", "SC-004A"} {
		if !SerialsAlike(alike, "sc 0042") {
			t.Errorf("%s and SC-0042 are not asked about", alike)
		}
	}
	for _, clear := range []string{"SC-0042", "sc0042", "SC-0043", "SC-0142", "SC-0051", "SC-2400", "SD-0043", "AB-0042", "U-7"} {
		if SerialsAlike(clear, "SC-0042") {
			t.Errorf("%s is asked about beside SC-0042", clear)
		}
	}
	if SerialsAlike("U-7", "U-77") || SerialsAlike("A1", "B1") || !SerialsAlike("U-O", "U-0") {
		t.Error("of short ones only what looks the same is asked about")
	}
}

var serials = rapid.StringMatching(`[A-Za-z0-9äÖ]{1,4}[- –]?[A-Za-z0-9]{0,8}`)

// TestSerialRule: the properties of the rule, whatever the serial numbers are.
func TestSerialRule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := serials.Draw(t, "a"), serials.Draw(t, "b")
		key := SerialKey(a)
		if SerialKey(key) != key {
			t.Fatalf("the key of %q is not its own", key)
		}
		at := rapid.IntRange(0, len([]rune(a))).Draw(t, "at")
		spaced := string([]rune(a)[:at]) + rapid.SampledFrom([]string{" ", "-", "\t", "\u2011"}).Draw(t, "blank") + string([]rune(a)[at:])
		if !SameSerial(spaced, a) || !SameSerial(strings.ToLower(a), strings.ToUpper(a)) {
			t.Fatalf("%q and %q are two units", spaced, a)
		}
		if SerialsAlike(a, b) != SerialsAlike(b, a) || SerialsAlike(a, b) != SerialsAlike(spaced, strings.ToLower(b)) {
			t.Fatalf("%q and %q: it depends on how they are written or ordered", a, b)
		}
		if SameSerial(a, b) && SerialsAlike(a, b) {
			t.Fatalf("%q and %q are the same and alike", a, b)
		}
		long := []rune(SerialKey(a))
		if len(long) < leastAlike {
			return
		}
		i := rapid.IntRange(0, len(long)-1).Draw(t, "i")
		less := string(long[:i]) + string(long[i+1:])
		if len(long) > leastAlike && !SerialsAlike(a, less) {
			t.Fatalf("%q without a character, %q, is not asked about", a, less)
		}
		other := string(long[:i]) + "Ψ" + string(long[i+1:])
		if !SerialsAlike(a, other) {
			t.Fatalf("%q with another character, %q, is not asked about", a, other)
		}
		if i+1 < len(long) && long[i] != long[i+1] {
			swapped := string(long[:i]) + string(long[i+1]) + string(long[i]) + string(long[i+2:])
			if !SerialsAlike(a, swapped) {
				t.Fatalf("%q with two changed places, %q, is not asked about", a, swapped)
			}
		}
		if unicode.IsDigit(long[i]) {
			counted := string(long[:i]) + string('0'+(long[i]-'0'+1)%10) + string(long[i+1:])
			if seen.Replace(counted) != seen.Replace(string(long)) && SerialsAlike(a, counted) {
				t.Fatalf("%q and the next one, %q, are asked about", a, counted)
			}
		}
	})
}
