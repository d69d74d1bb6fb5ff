package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// tables are a table for each command that reads one, FILE.
var tables = map[string]string{
	"drift --file FILE":                    "time,error\n2025-01-10,1.5\n2025-02-10,2\n2025-03-10,2.5\n",
	"study bias --file FILE --reference 1": "trial,value\n1,1.5\n2,2\n3,3.25\n",
	"recall --file FILE --error 8um": "job,unit_serial,started,measured,lower,upper,unit,standard_uncertainty\n" +
		"1,A,2026-01-01,0.15,0.1,0.2,mm,0.003\n",
	"recall --file ../../testdata/recall/places.csv --error FILE":       "reading,error,unit,standard_uncertainty\n0,0,mm,0.001\n25,0.02,mm,0.001\n",
	"master check --file FILE --unit mm --mpe 0.004 --resolution 0.001": "master,value,reading\nblock-1,1,1.001\nblock-1,1,1.001\n",
	"motion FILE": "time_ms,value,unit\n0,1.05,mm\n100,1.10,mm\n200,1.15,mm\n",
	"evaluate ../../testdata/trade/RO-01/procedure.yaml FILE": "measurement,value,unit\ntir,0.000,in\ntir,0.003,in\ntir,-0.002,in\n",
}

// onTable calls a command with a table.
func onTable(t *testing.T, command, table string) (code int, stdout, stderr string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "table.csv")
	if err := os.WriteFile(path, []byte(table), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr = call(t, "/nowhere", "", strings.Fields(strings.ReplaceAll(command, "FILE", path))...)
	return code, strings.ReplaceAll(stdout, path, "FILE"), strings.ReplaceAll(stderr, path, "FILE")
}

// TestTablesOfOtherPrograms: how other programs write a table changes nothing that any
// command reads.
func TestTablesOfOtherPrograms(t *testing.T) {
	for command, table := range tables {
		code, plain, stderr := onTable(t, command, table)
		if code != app.ExitFine && code != app.ExitAnswerIsNo || stderr != "" || plain == "" {
			t.Errorf("%s: exit %d, %s", command, code, stderr)
			continue
		}
		names, rows, _ := strings.Cut(table, "\n")
		commas := strings.NewReplacer(",", ";", ".", ",").Replace(table)
		for name, as := range map[string]string{
			"marked":                    "\ufeff" + table,
			"marked, quoted":            "\ufeff\"" + strings.ReplaceAll(names, ",", "\",\"") + "\"\n" + rows,
			"marked, remark":            "\ufeff# a remark\n" + table,
			"other line ends":           strings.ReplaceAll(table, "\n", "\r\n"),
			"capital letters":           strings.ToUpper(names) + "\n" + rows,
			"blanks for underscores":    strings.ReplaceAll(names, "_", " ") + "\n" + rows,
			"blanks around cells":       strings.ReplaceAll(table, ",", " , "),
			"blank lines":               names + "\n\n# remark\n" + rows + "  \n" + strings.Repeat(",", strings.Count(names, ",")) + "\n",
			"semicolons":                strings.ReplaceAll(table, ",", ";"),
			"semicolons, commas":        commas,
			"tabs":                      strings.ReplaceAll(table, ",", "\t"),
			"tabs, commas, and says so": "# decimal: comma\n" + strings.ReplaceAll(commas, ";", "\t"),
			"no end of the last line":   strings.TrimSuffix(table, "\n"),
		} {
			again, stdout, stderr := onTable(t, command, as)
			if again != code || stderr != "" || stdout != plain {
				t.Errorf("%s, %s: exit %d, %s\ngot\n%swant\n%s", command, name, again, stderr, stdout, plain)
			}
		}
	}
}

// TestFaultsOfTables: what is wrong with any table is said alike by every command.
func TestFaultsOfTables(t *testing.T) {
	for command, table := range tables {
		names, rows, _ := strings.Cut(table, "\n")
		first, _, _ := strings.Cut(names, ",")
		row, _, _ := strings.Cut(rows, "\n")
		for _, c := range []struct{ name, table, want string }{
			{"empty", "", "FILE:1:1: the file is empty: it begins with a line of column names"},
			{"header alone", names + "\n", "FILE:1:1: there are no rows under the line of column names"},
			{"twice", names + "," + strings.ToUpper(first) + "\n", "the column " + strings.ToUpper(first) + " is there twice: give each column a name of its own"},
			{"short", table + "1\n", "the line has 1 of "},
			{"long", table + row + ",x\n", ", 1 more than there are column names: write a point as the decimal sign"},
			{"Latin-1", table + "\xfc" + row + "\n", "the file is not in UTF-8: the byte FC stands here, in Latin-1 the letter 'ü'; save it as CSV in UTF-8"},
			{"UTF-16", "\xff\xfet\x00", "FILE:1:1: the file is in UTF-16, two bytes a character: save it as CSV in UTF-8"},
			{"open quote", table + "\"" + row + "\n", "the quote that opens here is not closed"},
			{"zero byte", table + "\x00" + row + "\n", "a byte of zero stands here"},
			{"long line", table + strings.Repeat("x", 1<<20) + "\n", "the line is longer than 65536 bytes"},
		} {
			code, stdout, stderr := onTable(t, command, c.table)
			if code == app.ExitFine || stdout != "" || !strings.HasPrefix(stderr, "gaugectl: FILE:") || !strings.Contains(stderr, c.want) {
				t.Errorf("%s, %s: exit %d, %s\n%s\nwant %s", command, c.name, code, stdout, stderr, c.want)
			}
		}
	}
}

func TestNumberFlags(t *testing.T) {
	path := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(path, []byte("part,appraiser,value\n1,A,1\n1,A,2\n2,A,3\n2,A,5\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"abc": "gaugectl: invalid argument \"abc\" for \"--confidence\" flag: it is not a decimal number such as 0.1 (see gaugectl study crossed --help)\n",
		"NaN": "gaugectl: invalid argument \"NaN\" for \"--confidence\" flag: it is not a decimal number such as 0.1 (see gaugectl study crossed --help)\n",
		"0,1": "gaugectl: invalid argument \"0,1\" for \"--confidence\" flag: it is not a decimal number such as 0.1 (see gaugectl study crossed --help)\n",
		"-1":  "gaugectl: the confidence -1 is not between 0.5 and 0.9999: use one such as 0.95\n",
	} {
		code, stdout, stderr := call(t, "/nowhere", "", "study", "crossed", "--file", path, "--confidence", text)
		if code == app.ExitFine || stdout != "" || stderr != want {
			t.Errorf("%s: exit %d, %q, want %q", text, code, stderr, want)
		}
	}
}
