package config

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/words"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files")

// The place of the procedure of the slips, and the same as one of several places.
const (
	placeOfSlips = `allow: {play: {min: 0.10, max: 0.30}}
gap: gap_read + spacer
parts: rings
choose: {method: middle}
examples: [{title: invented, readings: {gap_read: 0.70}, wants: {part: R150}}]
`
	oneOfSlips = "allow: {play: {min: 0.10, max: 0.30}}, gap: gap_read + spacer, parts: rings, choose: {method: middle}"
)

// TestSlips checks a station as a shop would write it, each time with one slip of
// those that people make: what is wrong is said once, with its place and what to do.
func TestSlips(t *testing.T) {
	const dir = "../../testdata/slips"
	var german strings.Builder
	for _, c := range []struct{ name, file, from, to, want string }{
		{"nothing", "p.yaml", "", "", ""},
		{"tab", "p.yaml", "  gap_read:\n    title", "  gap_read:\n\ttitle", `p.yaml:6:1: a tab stands here: lines are indented with spaces alone; put spaces in its place`},
		{"decimal comma", "p.yaml", "{min: 0.10, max: 0.30}", "{min: 0,10, max: 0,30}", "p.yaml:10:23: 0,10 is written with a decimal point: 0.10\np.yaml:10:34: 0,30 is written with a decimal point: 0.30"},
		{"colon in a text", "p.yaml", "title: Output shaft", "title: Output shaft: play", `p.yaml:2:20: a colon with a space after it makes a key of what stands before it: if it belongs to a text, put the text in quotes, as in title: "Journal: front"`},
		{"comma in a text", "p.yaml", "title: spacer that is in", "title: spacer, that is in", `p.yaml:9:50: a comma ends a text in { }: if "that is in" belongs to the text before it, put the text in quotes, as "spacer, that is in"`},
		{"Latin-1", "p.yaml", "title: Output shaft", "title: Geh\xe4use", `p.yaml:2:11: this character is not UTF-8 (in Latin-1 it would be "ä"): save the file as UTF-8`},
		{"UTF-16", "p.yaml", "procedure", "\xff\xfep\x00r\x00", `p.yaml:1:1: the file is in UTF-16: save it as UTF-8`},
		{"a misspelt key", "p.yaml", "repeats: 2", "repeat: 2", `p.yaml:8:5: "repeat" is not a key here: did you mean repeats?`},
		{"a misspelt family", "p.yaml", "parts: rings", "parts: ring", `p.yaml:1:1: procedure shaft: there is no part family "ring": did you mean rings? There are rings`},
		{"no family", "station.yaml", "parts: f.yaml\n", "", `p.yaml:1:1: procedure shaft: there is no part family "rings", nor any other`},
		{"a misspelt layout", "station.yaml", "layout: bench", "layout: banch", `station.yaml:12:13: there is no layout "banch": did you mean bench? There are bcd-digits, bench, `},
		{"a broken layout", "l.yaml", "match:", "mach:", "l.yaml:7:1: \"mach\" is not a key here: did you mean match?"},
		{"an address for all", "station.yaml", "127.0.0.1:7480", "0.0.0.0:7480", `station.yaml:4:9: 0.0.0.0:7480: others reach this address, and without tls: in the station's file names, secrets and readings would go there in the clear: say tls: {own: yes}, or tls: {certificate: FILE, key: FILE}, or use 127.0.0.1, ::1 or localhost`},
		{"a port twice", "station.yaml", "127.0.0.1:7480", "127.0.0.1:9412", `station.yaml:4:9: 127.0.0.1:9412 is listened on at station.yaml:3:12 already: give each its own port`},
		{"no address", "station.yaml", "127.0.0.1:9412", "nonsense", `station.yaml:3:12: "nonsense": it is not an address with a port, such as 127.0.0.1:7420`},
		{"no port", "station.yaml", "127.0.0.1:9412", "127.0.0.1:http-alt", `station.yaml:3:12: "127.0.0.1:http-alt": "http-alt" is not the number of a port, 1 to 65535`},
		{"gauges that differ in capitals", "station.yaml", "gauges:", "gauges:\n  Dial: {unit: mm, typed: yes}", `station.yaml:11:3: Dial and dial differ in capitals only, at station.yaml:10:3: give them different names`},
		{"masters that differ in capitals", "station.yaml", "gauges:", "masters:\n  ring: {value: 1.00, unit: mm}\n  Ring: {value: 1.00, unit: mm}\ngauges:", `station.yaml:11:3: ring and Ring differ in capitals only, at station.yaml:10:3: give them different names`},
		{"switches that differ in capitals", "station.yaml", "gauges:", "switches:\n  foot: {keyboard: /dev/a, keys: {f13: capture}}\n  Foot: {keyboard: /dev/b, keys: {f13: capture}}\ngauges:", `station.yaml:11:3: foot and Foot differ in capitals only, at station.yaml:10:3: give them different names`},
		{"constants that differ in capitals", "p.yaml", "constants: {", "constants: {Spacer: 1.00, ", `p.yaml:9:27: Spacer and spacer differ in capitals only, at p.yaml:9:13: give them different names`},
		{"a measurement and a constant that differ in capitals", "p.yaml", "  gap_read:\n", "  Spacer: {title: another}\n  gap_read:\n", `p.yaml:10:13: Spacer and spacer differ in capitals only, at p.yaml:5:3: give them different names`},
		{"a result and a measurement that differ in capitals", "p.yaml", "allow:", "judge: {Gap_read: {value: gap_read, max: 9}}\nallow:", `p.yaml:10:9: gap_read and Gap_read differ in capitals only, at p.yaml:5:3: give them different names`},
		{"places that differ in capitals", "p.yaml", placeOfSlips, "fit:\n  left: {" + oneOfSlips + "}\n  Left: {" + oneOfSlips + "}\n", `p.yaml:12:3: left and Left differ in capitals only, at p.yaml:11:3: give them different names`},
		{"instruments that differ in capitals", "p.yaml", "measure:", "instruments:\n  depth gauge: {resolution: 0.01}\n  Depth gauge: {resolution: 0.01}\nmeasure:", `p.yaml:6:3: depth gauge and Depth gauge differ in capitals only, at p.yaml:5:3: give them different names`},
		{"part numbers that differ in capitals", "f.yaml", "part: R170", "part: r150", `f.yaml:6:12: R150 and r150 differ in capitals only, at f.yaml:5:12: give them different names`},
		{"markings that differ in capitals", "f.yaml", "stock: 3}\n  - {part: R170", "mark: A}\n  - {mark: a, part: R170", `f.yaml:6:12: A and a differ in capitals only, at f.yaml:5:41: give them different names`},
		{"two certificates", "station.yaml", "gauges:", "tls: {own: yes, key: a.pem}\ngauges:", `station.yaml:9:6: an own certificate is made, and another one is given: say own: yes, or certificate and key`},
		{"a certificate without its key", "station.yaml", "gauges:", "tls: {certificate: a.pem}\ngauges:", `station.yaml:9:6: a certificate and its key are needed: say certificate: FILE and key: FILE, or own: yes`},
		{"names beside a certificate", "station.yaml", "gauges:", "tls: {certificate: a.pem, key: a.pem, names: [bench]}\ngauges:", `station.yaml:9:46: the names stand in the certificate that is given: leave them out here`},
		{"a unit that is none", "p.yaml", "unit: mm", "unit: cm", `p.yaml:3:7: unknown unit "cm": use mm, in or um`},
		{"a family in another unit", "f.yaml", "unit: mm", "unit: in", `p.yaml:14:72: the thicknesses of part family rings are 25.4 times too thick for this example: correct them, or the unit of the family, which is in`},
		{"a number in a sum of lengths", "p.yaml", "gap: gap_read + spacer", "gap: gap_read + sin(30)", `p.yaml:11:6: "gap_read + sin(30)" cannot be computed: a length and a number cannot be added or compared (character 10): give the number its unit as a constant, such as constants: {allowance: {value: 0.05, unit: mm}}, and write its name here`},
		{"two units", "f.yaml", "thickness: 1.50", "thickness: {mm: 1.50, in: 0.59}", `f.yaml:5:44: 0.59 in is ten times too large for the mm column: 1.50 mm is 0.059 in`},
		{"a dash in a sum", "p.yaml", "gap_read + spacer", "gap_read – spacer", `p.yaml:11:6: "gap_read – spacer" cannot be computed: character 10 is a dash, not the sign of the keyboard: write gap_read - spacer`},
		{"a printed minus in a sum", "p.yaml", "gap_read + spacer", "gap_read − spacer", `p.yaml:11:6: "gap_read − spacer" cannot be computed: character 10 is a printed minus sign, not the sign of the keyboard: write gap_read - spacer`},
		{"a no-break space in a sum", "p.yaml", "gap_read + spacer", "gap_read\u00a0+ spacer", `p.yaml:11:6: "gap_read\u00a0+ spacer" cannot be computed: character 9 is a no-break space, not the sign of the keyboard: write gap_read + spacer`},
		{"a printed minus before a number", "p.yaml", "min: 0.10", "min: −0.10", `p.yaml:10:21: "−0.10" is not a length: it is not a plain decimal number: character 1 is a printed minus sign; write -0.10`},
		{"a no-break space in a number", "p.yaml", "value: 1.00", "value: \u00a01.00", `p.yaml:9:29: "\u00a01.00" is not a length: it is not a plain decimal number: character 1 is a no-break space; write 1.00`},
		{"a no-break space before a key", "p.yaml", "    repeats: 2", "\u00a0   repeats: 2", `p.yaml:8:1: "\u00a0   repeats" is not a key here: character 1 is a no-break space; type repeats with the keyboard, indented with spaces`},
		{"a comma in a tolerance", "p.yaml", "repeats: 2", "repeats: 2\n    agree: 0,02", `p.yaml:9:12: "0,02" is not a length: the decimal sign must be a point, not a comma: write 0.02 (mm)`},
		{"a comma in a sum", "p.yaml", "gap_read + spacer", "gap_read + 0,30", `p.yaml:11:6: "gap_read + 0,30" cannot be computed: "," is not expected at character 13: a number is written with a decimal point, 0.30`},
		{"limits with commas", "p.yaml", "{min: 0.10, max: 0.30}", "0,15-0,20", `p.yaml:10:15: 0,15-0,20 is one text with commas: for two limits write {min: 0.15, max: 0.20}`},
		{"limits as one text", "p.yaml", "{min: 0.10, max: 0.30}", "0.15-0.20", `p.yaml:10:15: "0.15-0.20" is one text: for two limits write {min: 0.15, max: 0.20}`},
		{"limits with a word", "p.yaml", "{min: 0.10, max: 0.30}", "0.10 bis 0.30", `p.yaml:10:15: "0.10 bis 0.30" is one text: for two limits write {min: 0.10, max: 0.30}`},
		{"a number with its unit", "p.yaml", "value: 1.00", "value: 1,00mm", `p.yaml:9:29: 1,00mm is written as a number alone, with a decimal point: 1.00`},
		{"a text that people wrote", "p.yaml", "title: spacer that is in", "title: Fühlerlehre 0,03 mm", `p.yaml:9:56: a comma ends a text in { }: if "03 mm" belongs to the text before it, put the text in quotes, as "Fühlerlehre 0,03 mm"`},
		{"other capitals", "p.yaml", "gap_read + spacer", "Gap_read + spacer", `p.yaml:11:6: "Gap_read" is not known here: did you mean gap_read?`},
		{"no method", "p.yaml", "{method: middle}", "{}", `p.yaml:13:9: "method" is missing: use one of middle, thickest, thinnest, `},
		{"a German key", "p.yaml", "repeats: 2", "wiederholungen: 2", `p.yaml:8:5: "wiederholungen" is not a key here: did you mean repeats?`},
		{"a German key over names", "p.yaml", "measure:", "messen:", `p.yaml:4:1: "messen" is not a key here: did you mean measure?`},
		{"a name with an umlaut", "p.yaml", "  gap_read:\n", "  hülse:\n", `p.yaml:5:3: "hülse" cannot stand in a sum: use letters, digits and _, beginning with a letter`},
		{"a name of two words", "p.yaml", "gap_read + spacer", "gap read + spacer", `p.yaml:11:6: "gap read + spacer" cannot be computed: "read" is not expected at character 5: put + - * or / between gap and read, or _ where they are one name`},
		{"an equals sign", "p.yaml", "gap: gap_read", "gap = gap_read", `p.yaml:12:1: the line above has no colon: write key: value, with a space after the colon`},
		{"a family in cm", "f.yaml", "unit: mm", "unit: cm", `f.yaml:3:7: unknown unit "cm": use mm, in, um, `},
		{"a comma in a resolution", "station.yaml", "resolution: 0.01", "resolution: 0,01", `station.yaml:15:17: "0,01" is not a length: the decimal sign must be a point, not a comma: write 0.01 (mm)`},
		{"a resolution with its unit", "station.yaml", "resolution: 0.01", "resolution: 0.01mm", `station.yaml:15:17: "0.01mm" is not a length: it is not a plain decimal number: write the number alone, 0.01; it is in mm`},
		{"a German resolution", "station.yaml", "resolution: 0.01", "auflösung: 0.01", `station.yaml:15:5: "auflösung" is not a key here: did you mean resolution?`},
		{"a gauge that is typed, in German", "station.yaml", "    layout: bench\n    port: /dev/dial\n", "    typed: ja\n", `station.yaml:12:12: "ja" is not known here: use yes, no, true, false`},
		{"a unit in full", "station.yaml", "unit: mm", "unit: Millimeter", `station.yaml:14:11: unknown unit "Millimeter": use `},
		{"a gauge with an umlaut", "station.yaml", "gauges:", "checks:\n  bügel: {every_days: 7}\ngauges:", `station.yaml:10:3: "bügel" is not a name: use letters, digits, - . and _, beginning with a letter or digit`},
		{"a master that is none", "station.yaml", "gauges:", "checks:\n  dial: {every_days: 7, at: [null]}\ngauges:", `station.yaml:10:30: one value is needed here`},
		{"a comma in a sum between braces", "p.yaml", "gap: gap_read + spacer", "values: {more: spacer + 0,05}\ngap: gap_read + more", `p.yaml:11:27: spacer + 0,05 is written with a decimal point: spacer + 0.05`},
		{"a time with a space", "station.yaml", "resolution: 0.01", "resolution: 0.01\n    bounce: 200 ms", `station.yaml:16:13: "200 ms" is not a time: write 200ms, without a space`},
		{"a comma in a time", "station.yaml", "resolution: 0.01", "resolution: 0.01\n    bounce: 0,5s", `station.yaml:16:13: "0,5s" is not a time: the decimal sign must be a point, not a comma: write 0.5s`},
		{"a port of another system", "station.yaml", "/dev/dial", "COM3", `station.yaml:13:11: COM3 is no port of this system: write a path such as /dev/serial/by-id/...; gaugectl ports lists those that are plugged in`},
		{"a day that is none", "station.yaml", "gauges:", "masters:\n  block: {title: Block, value: 1.00, unit: mm, due: 2026-04-31}\ngauges:", `station.yaml:10:53: "2026-04-31" is not a day: 2026-04 has 30 days`},
		{"a German day", "station.yaml", "gauges:", "masters:\n  block: {title: Block, value: 1.00, unit: mm, due: 30.04.2026}\ngauges:", `station.yaml:10:53: "30.04.2026" is not a day: write it as 2026-04-30`},
		{"a layout in double quotes", "l.yaml", `'(?P<value>[+-]\d{1,4}\.\d{2,5})'`, `"(?P<value>[+-]\d{1,4}\.\d{2,5})"`, `l.yaml:7:23: in double quotes a backslash is a sign of its own: put a text with a backslash in single quotes, as '\d+'`},
		{"a bad example of another reason", "l.yaml", "reason: comma", "reason: noise", `l.yaml:16:13: the bad example gives a rejection (comma: "+1,234" has a decimal comma where the layout has a point), not one rejection: noise`},
		{"a good example that is none", "l.yaml", `"+0.12345\r\n"`, `"+0.1x345\r\n"`, `l.yaml:13:13: the good example gives a rejection (noise: byte 5 of "+0.1x345" is 0x78, which cannot stand in this layout), not `},
		{"a layout with a crooked indent", "l.yaml", "  longest", "   longest", `l.yaml:6:4: this line is indented differently from the line above: begin all keys of one mapping in the same column`},
		{"a comma in a value of a layout", "l.yaml", `value: "1.234"`, `value: "1,234"`, `l.yaml:10:61: "1,234" is not a length: the decimal sign must be a point, not a comma: write 1.234 (mm)`},
		{"ends by name", "l.yaml", `ends: ["\r\n", "\r", "\n"]`, "ends: CRLF", `l.yaml:5:9: "CRLF" is the name of a character: write "\r\n" in double quotes`},
		{"family as a mapping", "p.yaml", "parts: rings", "parts: {family: rings}", `p.yaml:12:8: one value is needed here: write rings alone, without family:`},
		{"a number as a word", "p.yaml", "repeats: 2", "repeats: zwei", `p.yaml:8:14: "zwei" is not a whole number from 1 to 200: write it in digits, such as 2`},
		{"two limits in the place of one", "p.yaml", "min: 0.10, max: 0.30", "min: 0.15-0.20", `p.yaml:10:21: "0.15-0.20" is not a length: it is not a plain decimal number: for two limits write {min: 0.15, max: 0.20}`},
		{"two limits in the place of one, with the other", "p.yaml", "min: 0.10", "min: 0.15-0.20", `p.yaml:10:21: "0.15-0.20" is not a length: it is not a plain decimal number: for two limits write {min: 0.15, max: 0.20}`},
		{"micrometres among millimetres", "f.yaml", "thickness: 1.70", "thickness: 1700", `f.yaml:6:29: 1700 mm stands beside 1.5 mm: the file is in mm, and 1.7 mm would be 1700 um: look for a slip of the pen or a missing row; if it is printed so, say steps: uneven`},
		{"micrometres first", "f.yaml", "thickness: 1.50", "thickness: 1500", `f.yaml:5:29: 1500 mm stands beside 1.7 mm: the file is in mm, and 1.5 mm would be 1500 um; look for a slip of the pen`},
		{"family in um", "f.yaml", "unit: mm", "unit: um", `p.yaml:14:72: the thicknesses of part family rings are 1000 times too thin for this example: correct them, or the unit of the family, which is um`},
		{"stock as a word", "f.yaml", "stock: 3}\n  - {part: R170", "stock: drei}\n  - {part: R170", `f.yaml:5:42: "drei" is not a whole number from 0 to 1000000: write it in digits, such as 2`},
		{"stock with unit", "f.yaml", "stock: 3}\n  - {part: R170", "stock: 3 Stk}\n  - {part: R170", `f.yaml:5:42: "3 Stk" is not a whole number from 0 to 1000000: write the number alone, 3`},
		{"thickness with unit", "f.yaml", "thickness: 1.50", "thickness: 1.50 mm", `f.yaml:5:29: "1.50 mm" is not a length: it is not a plain decimal number: write the number alone, 1.50; it is in mm`},
		{"thickness comma", "f.yaml", "thickness: 1.50", "thickness: 1,50", `f.yaml:5:31: 1,50 is written with a decimal point: 1.50`},
		{"grades no list", "f.yaml", "  - {part: R150, thickness: 1.50, stock: 3}\n  - {part: R170, thickness: 1.70, stock: 3}", "  R150: 1.50\n  R170: 1.70", `f.yaml:5:3: a list, each line of it with a dash and a space before it, is needed here`},
		{"a group of another name", "l.yaml", "?P<value>", "?P<wert>", `l.yaml:7:8: "wert" is not a group here: the groups are value, unit, low_battery, channel, decimals`},
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
				fmt.Fprintf(&german, "%s\n%s\n\n", c.name, strings.ReplaceAll(words.In(words.German).Error(err), at+"/", ""))
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
	inGerman(t, german.String())
}

// inGerman holds what is told in German of each slip.
func inGerman(t *testing.T, got string) {
	t.Helper()
	const golden = "testdata/slips.de.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil || string(want) != got {
		t.Errorf("%v %s", err, cmp.Diff(string(want), got))
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
