package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// mistakes are command lines that are wrong, each by one slip; {dir} is a directory with
// the files of TestMistakes.
var mistakes = []struct{ title, lines string }{
	{"commands and arguments", `
guages
gauge
jobs 3
gauge show
job show
job show first
job show 3 4
recall
help guages
`},
	{"flags", `
gauges --frob
gauges --adress x
gauges --output jsno
gauges --output xml
jobs --since yesterday
jobs --page none
history readings --after -1
job enter 1 2.5mm --as
`},
	{"values and units", `
job enter 1 2,5mm --by q
job enter 1 2.5 --by q
job enter 1 2.5cm --by q
job enter 1 --by q
master zero micrometer --value 0.001kg --by q
master zero micrometer --value 1e3mm --by q
master record micrometer --at zero=1;2 --by q
master record micrometer --at zero --by q
master standing micrometer suspct --by q --reason x
recall micrometer --error 8
recall micrometer --error eight
drift --file {dir}/checks.csv --mpe 8 --unit cm
decode --layout signed-lin --unit mm
decode --layout signed-line --unit cm
`},
	{"a gauge that is not there", `
gauge show mikrometer
watch mikrometer
checks mikrometer
history readings --gauge mikrometer
history rejects --gauge mikrometer
history states --gauge mikrometer
history standings --gauge mikrometer
jobs --gauge mikrometer
studies --gauge mikrometer
job capture 1 --gauge mikrometer
job start sides --unit-serial 1 --gauge *=mikrometer --by q
master signs mikrometer
master standing mikrometer suspect --by q --reason x
master begin mikrometer --at zero --by q
master leave mikrometer --by q
master void mikrometer 1 --by q --reason x
master record mikrometer --at zero=1 --by q
master zero mikrometer --value 0.001mm --by q
master import mikrometer {dir}/laboratory.csv --unit mm --by q
recall mikrometer --error 8um
drift mikrometer
study record mikrometer --kind capability --master zero --trials 10 --tolerance 0.1mm --by q --sheet {dir}/new.csv
`},
	{"a job, an entry or a file that is not there", `
job show 99
job enter 99 2.5mm --by q
job verify 99 --by q
job close 99 --by q
job watch 99
history job 99
history file 0abc
study show 99
job start seites --unit-serial 1 --by q
procedure show seites
master void micrometer 99 --by q --reason x
`},
	{"files", `
check {dir}/none.yaml
evaluate {dir}/none.yaml {dir}/none.csv
drift --file {dir}/none.csv --mpe 8 --unit um
drift --file {dir} --mpe 8 --unit um
drift --file {dir}/workbook.csv --mpe 8 --unit um
drift --file {dir}/empty.csv --mpe 8 --unit um
drift --file {dir}/latin1.csv --mpe 8 --unit um
study crossed --file {dir}/workbook.csv
motion {dir}/empty.csv
master import micrometer {dir}/workbook.csv --unit mm --by q
master check --file {dir}/empty.csv --unit mm --mpe 0.004 --resolution 0.001
`},
	{"the daemon is not there", `
gauges --address unix:///nowhere/gauged.sock
gauges --address 127.0.0.1:1
gauges --address nonsense
`},
}

// TestMistakes holds what gaugectl says to each mistake against a golden file: the command
// line, the exit code, and the message. No mistake passes for a good answer.
func TestMistakes(t *testing.T) {
	dir := t.TempDir()
	for name, content := range map[string]string{
		"checks.csv": "date,point,error\n2026-01-02,block-1,0.001\n", "workbook.csv": "PK\x03\x04\x14\x00", "empty.csv": "", "latin1.csv": "date,Gr\xf6\xdfe\n2026-01-02,1\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	laboratory, err := os.ReadFile("testdata/checks/laboratory.csv")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "laboratory.csv"), laboratory, 0o600); err != nil {
		t.Fatal(err)
	}
	b, _ := led(t)
	socket := b.socket
	var out strings.Builder
	for _, group := range mistakes {
		fmt.Fprintf(&out, "== %s\n", group.title)
		for line := range strings.Lines(strings.TrimSpace(group.lines)) {
			line = strings.TrimSpace(line)
			code, stdout, stderr := call(t, socket, "", strings.Fields(strings.ReplaceAll(line, "{dir}", dir))...)
			if code == 0 || stderr == "" {
				t.Errorf("%s: exit %d, %q, %q", line, code, stdout, stderr)
			}
			said := strings.NewReplacer(dir, "{dir}", socket, "{socket}").Replace(stdout + stderr)
			fmt.Fprintf(&out, "$ gaugectl %s\nexit %d\n%s\n", line, code, said)
		}
	}
	golden(t, "mistakes", out.String())
}
