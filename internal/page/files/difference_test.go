package files

import (
	"strings"
	"testing"
)

func TestDifferences(t *testing.T) {
	long := strings.Repeat("same\n", 20)
	cases := []struct{ name, before, after, want string }{
		{"equal", "a\nb", "a\nb", ""},
		{"changed", "a\nb\nc", "a\nx\nc", " a|-b|+x| c"},
		{"added at the end", "a", "a\nb", " a|+b"},
		{"removed at the beginning", "a\nb", "b", "-a| b"},
		{"far away", long + "a\n" + long + "b", long + "x\n" + long + "b", "…| same| same| same|-a|+x| same| same| same|…"},
		{"moved", "a\nb\nc\nd", "b\nc\na\nd", "-a| b| c|+a| d"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, d := range Differences(c.before, c.after) {
				sign := d.Sign
				if sign == "" {
					sign = " "
				}
				got = append(got, sign+d.Text)
			}
			if text := strings.Join(got, "|"); text != c.want {
				t.Errorf("got %q, want %q", text, c.want)
			}
		})
	}
	whole := Differences(strings.Repeat("a\n", 3000), strings.Repeat("b\n", 3000))
	if len(whole) < 6000 {
		t.Errorf("a text that is all different gives %d lines", len(whole))
	}
}
