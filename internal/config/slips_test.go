package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestSlips checks a station as a shop would write it, each time with one slip of
// those that people make: what is wrong is said once, with its place and what to do.
func TestSlips(t *testing.T) {
	const dir = "../../testdata/slips"
	for _, c := range []struct{ name, file, from, to, want string }{
		{"nothing", "p.yaml", "", "", ""},
		{"tab", "p.yaml", "  gap_read:\n    title", "  gap_read:\n\ttitle", `p.yaml:6:1: a tab stands here: lines are indented with spaces alone; put spaces in its place`},
		{"decimal comma", "p.yaml", "{min: 0.10, max: 0.30}", "{min: 0,10, max: 0,30}", "p.yaml:10:23: 0,10 is written with a decimal point: 0.10\np.yaml:10:34: 0,30 is written with a decimal point: 0.30"},
		{"colon in a text", "p.yaml", "title: Output shaft", "title: Output shaft: play", `p.yaml:2:20: a colon with a space after it makes a key of what stands before it: if it belongs to a text, put the text in quotes, as in title: "Journal: front"`},
		{"comma in a text", "p.yaml", "title: spacer that is in", "title: spacer, that is in", `p.yaml:9:50: a comma ends a text in { }: if "that is in" belongs to the text before it, put the text in quotes, as "spacer, that is in"`},
		{"Latin-1", "p.yaml", "title: Output shaft", "title: Geh\xe4use", `p.yaml:2:11: this character is not UTF-8 (in Latin-1 it would be "ä"): save the file as UTF-8`},
		{"UTF-16", "p.yaml", "procedure", "\xff\xfep\x00r\x00", `p.yaml:1:1: the file is in UTF-16: save it as UTF-8`},
		{"a misspelt key", "p.yaml", "repeats: 2", "repeat: 2", `p.yaml:8:5: "repeat" is not a key here (did you mean repeats?); the keys are `},
		{"a misspelt family", "p.yaml", "parts: rings", "parts: ring", `p.yaml:1:1: procedure shaft: there is no part family "ring": did you mean rings? There are rings`},
		{"no family", "station.yaml", "parts: f.yaml\n", "", `p.yaml:1:1: procedure shaft: there is no part family "rings", nor any other`},
		{"a misspelt layout", "station.yaml", "layout: bench", "layout: banch", `station.yaml:12:13: there is no layout "banch": did you mean bench? There are bcd-digits, bench, `},
		{"a broken layout", "l.yaml", "match:", "mach:", "l.yaml:1:1: \"match\" is missing\nl.yaml:7:1: \"mach\" is not a key here (did you mean match?); the keys are "},
		{"an address for all", "station.yaml", "127.0.0.1:7480", "0.0.0.0:7480", `station.yaml:4:9: 0.0.0.0:7480: the daemon has no authentication and listens on this machine's loopback only; use 127.0.0.1, ::1 or localhost`},
		{"a port twice", "station.yaml", "127.0.0.1:7480", "127.0.0.1:9412", `station.yaml:4:9: 127.0.0.1:9412 is listened on at station.yaml:3:12 already: give each its own port`},
		{"no address", "station.yaml", "127.0.0.1:9412", "nonsense", `station.yaml:3:12: "nonsense": it is not an address with a port, such as 127.0.0.1:7420`},
		{"no port", "station.yaml", "127.0.0.1:9412", "127.0.0.1:http-alt", `station.yaml:3:12: "127.0.0.1:http-alt": "http-alt" is not the number of a port, 1 to 65535`},
		{"a unit that is none", "p.yaml", "unit: mm", "unit: cm", `p.yaml:3:7: unknown unit "cm": use mm, in or um`},
		{"a family in another unit", "f.yaml", "unit: mm", "unit: in", `p.yaml:14:72: the example "invented": part: got nothing, wanted R150 `},
		{"a number in a sum of lengths", "p.yaml", "gap: gap_read + spacer", "gap: gap_read + sin(30)", `p.yaml:11:6: "gap_read + sin(30)" cannot be computed: a length and a number cannot be added or compared (character 10): give the number its unit as a constant, such as constants: {allowance: {value: 0.05, unit: mm}}, and write its name here`},
		{"two units", "f.yaml", "thickness: 1.50", "thickness: {mm: 1.50, in: 0.59}", `f.yaml:5:44: 0.59 in is ten times too large for the mm column: 1.50 mm is 0.059 in`},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := t.TempDir()
			for _, name := range []string{"station.yaml", "p.yaml", "f.yaml", "l.yaml"} {
				content, err := os.ReadFile(filepath.Join(dir, name))
				if err != nil {
					t.Fatal(err)
				}
				text := string(content)
				if name == c.file && c.from != "" {
					if !strings.Contains(text, c.from) {
						t.Fatalf("%s has no %q", name, c.from)
					}
					text = strings.Replace(text, c.from, c.to, 1)
				}
				if err := os.WriteFile(filepath.Join(at, name), []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			checked, err := Check(t.Context(), []string{filepath.Join(at, "station.yaml"), filepath.Join(at, "p.yaml"), filepath.Join(at, "f.yaml"), filepath.Join(at, "l.yaml")}, func(string) string { return "" })
			got := ""
			if err != nil {
				got = strings.ReplaceAll(err.Error(), at+"/", "")
			}
			if !strings.HasPrefix(got, c.want) || c.want == "" && got != "" || strings.Count(got, "\n") != strings.Count(c.want, "\n") {
				t.Error(cmp.Diff(c.want, got))
			}
			for _, f := range checked {
				if name := filepath.Base(f.Path); c.want != "" && strings.Contains("\n"+got, "\n"+name+":") {
					t.Errorf("%s is fine, and has a problem", name)
				}
			}
		})
	}
}

// TestTableBesideAProcedure: gaugectl check takes a procedure whose table lies in a
// file of its own, as the daemon does.
func TestTableBesideAProcedure(t *testing.T) {
	at := write(t, map[string]string{
		"p.yaml":  "procedure: p\nunit: mm\ntitle: t\nmeasure:\n  a: {title: a}\n  b: {title: b}\ntables:\n  chart: {mode: exact, by: {a: mm}, file: one.csv}\nvalues: {out: chart(a) + b}\njudge: {total: {value: out, min: 0, max: 9}}\n",
		"one.csv": "a,value\n1,2\n3,4\n",
	})
	checked, err := Check(t.Context(), []string{filepath.Join(at, "p.yaml")}, func(string) string { return "" })
	if err != nil || len(checked) != 1 || checked[0].ID != "p" {
		t.Errorf("%+v, %v", checked, err)
	}
}
