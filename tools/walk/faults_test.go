//go:build walk

package walk

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"testing"
)

// raw is what only a programmer can read: errors of Go's own packages, values
// that were printed without a form, and templates that went wrong.
var raw = regexp.MustCompile(`json: |strconv\.|runtime error|panic: |goroutine [0-9]|%!|<nil>|<no value>|\b0x?c0[0-9a-f]{8}|rpc error:|code = |unmarshal|invalid character '|sql: |SQLITE|strings\.|template: |ZgotmplZ|&\{|map\[|\[\]byte|\bNaN\b|[+-]Inf\b|context (canceled|deadline)|broken pipe|use of closed|unexpected EOF|no such file`)

// wrong says what of a text is for programmers alone; empty: nothing.
func wrong(text string) string {
	at := raw.FindStringIndex(text)
	if at == nil {
		return ""
	}
	return fmt.Sprintf("%q in %q", text[at[0]:at[1]], text[max(0, at[0]-60):min(len(text), at[1]+60)])
}

// lacks returns the first of the texts that are not in a text.
func lacks(text string, wanted []string) string {
	for _, want := range wanted {
		if !strings.Contains(text, want) {
			return want
		}
	}
	return ""
}

// values counts the JSON values of a text, each of which says something.
func values(text string) (n int, err error) {
	for d := json.NewDecoder(strings.NewReader(text)); ; n++ {
		var value any
		switch err := d.Decode(&value); {
		case errors.Is(err, io.EOF):
			return n, nil
		case err != nil:
			return n, err
		}
		switch value := value.(type) {
		case map[string]any:
			if len(value) == 0 {
				return n, errors.New("an object without a field")
			}
		case nil:
			return n, errors.New("null")
		}
	}
}

// TestFaultsAreFound: what is looked for is found, and nothing else.
func TestFaultsAreFound(t *testing.T) {
	for _, text := range []string{
		"json: cannot unmarshal number 0.9 into Go struct field", `strconv.ParseInt: parsing "x": invalid syntax`, "%!d(string=x)", "play <nil> mm", "open x: no such file or directory",
		"gauge 0xc000123456", "rpc error: code = Unknown", "runtime error: invalid memory address", "mean NaN mm", "limit +Inf", "&{depth 3}", "map[depth:3]",
	} {
		if wrong(text) == "" {
			t.Errorf("nothing is found in %q", text)
		}
	}
	for _, text := range []string{"100 % of 0x0 readings", "the code of the part: 0.5", "A map of the bench [3]", "information", "Info: Nancy's gauge", "NaNo"} {
		if found := wrong(text); found != "" {
			t.Errorf("%q: %s", text, found)
		}
	}
	for _, text := range []string{"{}", "null", "{", `{"a":1} x`} {
		if n, err := values(text); err == nil {
			t.Errorf("%q has %d values", text, n)
		}
	}
	if n, err := values("{\"a\":1}\n[]\n"); n != 2 || err != nil {
		t.Errorf("%d, %v", n, err)
	}
}
