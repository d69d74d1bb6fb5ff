package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// TestAnswerOfPlacesThatAreFitted: a place that has its part is not named as if one
// were to be fitted there, whatever was recommended.
func TestAnswerOfPlacesThatAreFitted(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"p.yaml": "procedure: p\ntitle: t\nunit: mm\nmeasure: {l: {title: l}, r: {title: r}}\nfit:\n  left: {thickness: l, parts: s}\n  right: {thickness: r, parts: s}\ntogether: {first: total, within: 0.02}\n",
		"s.yaml": "family: s\ntitle: s\nunit: mm\nseries: {from: 1.00, to: 2.00, step: 0.05}\n",
		"r.csv":  "measurement,value,unit\nl,1.52,mm\nr,1.53,mm\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		fitted []string
		code   int
		want   string
	}{
		{[]string{"left:1.55"}, app.ExitFine, "left: Fitted: 1.55, nominally 1.550 mm thick.\nright: Fit 1.50, 1.500 mm thick.\n  Places: Together they make 3.050 mm"},
		{[]string{"left:1.50", "right:1.50"}, app.ExitAnswerIsNo, "Does not conform: Total of all places 3.000 mm.\n"},
	} {
		args := []string{"evaluate", filepath.Join(dir, "p.yaml"), filepath.Join(dir, "r.csv")}
		for _, f := range c.fitted {
			args = append(args, "--fitted", f)
		}
		code, stdout, stderr := call(t, "", "", args...)
		if code != c.code || !strings.HasPrefix(stdout, c.want) || strings.Contains(stdout, "left: Why") {
			t.Errorf("%v: exit %d, %s%s", c.fitted, code, stdout, stderr)
		}
	}
}
