package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestTablesOfOtherPrograms: what spreadsheet programs write in front of a table, in
// its quotes and at the end of its lines changes nothing that any command reads.
func TestTablesOfOtherPrograms(t *testing.T) {
	for command, table := range map[string]string{
		"drift FILE":                    "time,error\n2025-01-10,1\n2025-02-10,2\n2025-03-10,2\n",
		"study bias FILE --reference 1": "value\n1.5\n2\n3\n",
		"recall --file FILE --error 8um": "job,unit_serial,started,measured,lower,upper,unit,standard_uncertainty\n" +
			"1,A,2026-01-01,0.15,0.1,0.2,mm,0.003\n",
		"master check --file FILE --unit mm --mpe 0.004 --resolution 0.001": "master,value,reading\nblock-1,1,1.001\nblock-1,1,1.001\n",
	} {
		plain := ""
		for name, as := range map[string]func(string) string{
			"as it is": func(s string) string { return s },
			"marked":   func(s string) string { return "\ufeff" + s },
			"marked, quoted": func(s string) string {
				return "\ufeff" + "\"" + strings.Replace(s, firstCell(s), firstCell(s)+"\"", 1)
			},
			"marked, remark":  func(s string) string { return "\ufeff" + "# a remark\n" + s },
			"other line ends": func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") },
			"capital letters": func(s string) string {
				names, rows, _ := strings.Cut(s, "\n")
				return strings.ToUpper(names) + "\n" + rows
			},
		} {
			path := filepath.Join(t.TempDir(), "table.csv")
			if err := os.WriteFile(path, []byte(as(table)), 0o600); err != nil {
				t.Fatal(err)
			}
			code, stdout, stderr := call(t, "/nowhere", "", strings.Fields(strings.ReplaceAll(command, "FILE", path))...)
			if code != exitFine || stderr != "" {
				t.Errorf("%s, %s: exit %d, %s", command, name, code, stderr)
			}
			if stdout = strings.ReplaceAll(stdout, path, "FILE"); plain == "" {
				plain = stdout
			}
			if stdout != plain {
				t.Errorf("%s, %s: got\n%swant\n%s", command, name, stdout, plain)
			}
		}
	}
}

func firstCell(table string) string { return table[:strings.IndexAny(table, ",\n")] }

func TestNumberFlags(t *testing.T) {
	path := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(path, []byte("part,appraiser,value\n1,A,1\n1,A,2\n2,A,3\n2,A,5\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"abc": "gaugectl: invalid argument \"abc\" for \"--tolerance\" flag: it is not a decimal number such as 0.1 (see gaugectl study crossed --help)\n",
		"NaN": "gaugectl: invalid argument \"NaN\" for \"--tolerance\" flag: it is not a decimal number such as 0.1 (see gaugectl study crossed --help)\n",
		"0,1": "gaugectl: invalid argument \"0,1\" for \"--tolerance\" flag: it is not a decimal number such as 0.1 (see gaugectl study crossed --help)\n",
		"-1":  "gaugectl: the tolerance -1 is not a width: give the distance of the limits, above 0\n",
	} {
		code, stdout, stderr := call(t, "/nowhere", "", "study", "crossed", path, "--tolerance", text)
		if code == exitFine || stdout != "" || stderr != want {
			t.Errorf("%s: exit %d, %q, want %q", text, code, stderr, want)
		}
	}
}
