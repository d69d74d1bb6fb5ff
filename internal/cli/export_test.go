package cli

import (
	"encoding/csv"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/parquet-go/parquet-go"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// exporting is a station with five readings.
func exporting(t *testing.T) (*fakeStation, string) {
	t.Helper()
	socket := socketPath(t)
	f := newStation(clitest.VerdictJob("0.064"))
	for _, digits := range []string{"0.100", "-0.250", "0.300", "0.400", "0.500"} {
		f.store(digits)
	}
	serve(t, f, socket)
	return f, socket
}

// TestExportForms: the same readings come as CSV, JSON lines and Parquet, with the exact
// value beside the digits, and the head of the history beside each file.
func TestExportForms(t *testing.T) {
	_, socket := exporting(t)
	dir := t.TempDir()
	for _, form := range []string{"csv", "jsonl", "parquet"} {
		file := filepath.Join(dir, "r."+form)
		if code, out, wrong := call(t, socket, "", "export", "readings", "--to", file); code != app.ExitFine || out != "" || !strings.Contains(wrong, "5 readings up to entry 54 are written to "+file) {
			t.Fatalf("%s: exit %d, %q, %q", form, code, out, wrong)
		}
	}
	f, err := os.Open(filepath.Join(dir, "r.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 6 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	at := func(name string) int { return slices.Index(rows[0], name) }
	if second := rows[2]; second[at("value")] != "-0.250" || second[at("value_unit")] != "mm" || second[at("value_picometres")] != "-250000000" || second[at("seq")] != "51" {
		t.Errorf("%v of %v", second, rows[0])
	}
	lines, err := os.ReadFile(filepath.Join(dir, "r.jsonl"))
	if err != nil || strings.Count(string(lines), "\n") != 5 {
		t.Fatalf("%q, %v", lines, err)
	}
	type entry struct {
		Seq      int64     `parquet:"seq,optional"`
		Gauge    string    `parquet:"gauge_id"`
		Value    string    `parquet:"value"`
		Exact    int64     `parquet:"value_picometres,optional"`
		Other    *int64    `parquet:"value_billionths,optional"`
		Received time.Time `parquet:"time,optional"`
	}
	read, err := parquet.ReadFile[entry](filepath.Join(dir, "r.parquet"))
	if err != nil || len(read) != 5 {
		t.Fatalf("%v, %v", read, err)
	}
	for i, line := range strings.Split(strings.TrimSpace(string(lines)), "\n") {
		var m struct {
			Seq   string
			Time  time.Time
			Value struct{ Text, Picometres string }
		}
		if err := json.Unmarshal([]byte(line), &m); err != nil {
			t.Fatal(err)
		}
		row, r := rows[i+1], read[i]
		if m.Seq != row[at("seq")] || m.Value.Text != row[at("value")] || m.Value.Picometres != row[at("value_picometres")] || m.Time.Format("2006-01-02T15:04:05.000000000Z") != row[at("time")] {
			t.Errorf("%s and %v", line, row)
		}
		if strconv.FormatInt(r.Seq, 10) != m.Seq || r.Value != m.Value.Text || strconv.FormatInt(r.Exact, 10) != m.Value.Picometres || r.Other != nil || !r.Received.Equal(m.Time) || r.Gauge != row[at("gauge_id")] {
			t.Errorf("%s and %+v", line, r)
		}
	}
}

// TestExportResults has one row for each judged result.
func TestExportResults(t *testing.T) {
	job, mark := clitest.VerdictJob("0.064"), &pb.Judgement{Name: "pair", Mark: "17", Wanted: "17", Outcome: pb.Outcome_OUTCOME_CONFORMS}
	job.Evaluation.Judgements = []*pb.Judgement{{Name: "play", Title: "=end play", Value: clitest.MM("0.064"), Allowed: clitest.Between("0.050", "0.150"), Outcome: pb.Outcome_OUTCOME_CONFORMS, Probability: proto.Float64(0.9821), AfterFitting: true}, mark}
	job.CloseTime, job.Labels = clitest.At(59), map[string]string{"order": "=A-1042", "customer": "Miller; Sons", "bay": "3", "seal": "7"}
	socket := socketPath(t)
	serve(t, newStation(job), socket)
	file := filepath.Join(t.TempDir(), "results.csv")
	if code, _, wrong := call(t, socket, "", "export", "results", "--to", file); code != app.ExitFine {
		t.Fatal(code, wrong)
	}
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "export_results", string(content))
}

// TestExportLabels: labels can be taken apart whatever is in them, in each form.
func TestExportLabels(t *testing.T) {
	job := clitest.VerdictJob("0.064")
	job.Evaluation.Judgements = []*pb.Judgement{{Name: "play", Value: clitest.MM("0.064"), Outcome: pb.Outcome_OUTCOME_CONFORMS}}
	job.Labels = map[string]string{"order": "A", "note": "a; b=c", "seal": `"7", é`}
	socket := socketPath(t)
	serve(t, newStation(job), socket)
	want := map[string]string{"note": "a; b=c", "seal": `"7", é`}
	file := func(form string) string {
		path := filepath.Join(t.TempDir(), "results."+form)
		if code, _, wrong := call(t, socket, "", "export", "results", "--to", path); code != app.ExitFine {
			t.Fatal(code, wrong)
		}
		return path
	}
	same := func(form, text string) {
		t.Helper()
		var got map[string]string
		if err := json.Unmarshal([]byte(text), &got); err != nil || !maps.Equal(got, want) {
			t.Errorf("%s: %v in %q, %v", form, got, text, err)
		}
	}
	f, err := os.Open(file("csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	same("csv", rows[1][slices.Index(rows[0], "labels")])
	line, err := os.ReadFile(file("jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	var entry struct{ Labels json.RawMessage }
	if err := json.Unmarshal(line, &entry); err != nil {
		t.Fatal(err)
	}
	same("jsonl", string(entry.Labels))
	read, err := parquet.ReadFile[struct {
		Labels string `parquet:"labels"`
	}](file("parquet"))
	if err != nil || len(read) != 1 {
		t.Fatal(read, err)
	}
	same("parquet", read[0].Labels)
}

// TestExportBytes: a frame that is no text makes no file that is none. CSV is in UTF-8 and
// shows it as a terminal does; Parquet has its bytes, in a column that is no text.
func TestExportBytes(t *testing.T) {
	raw := []byte{0xff, 0x00, 0xfe, 0xe4, 0xf6}
	f, socket := exporting(t)
	f.store("0.600")
	f.readings[len(f.readings)-1].Raw, f.rejected = raw, raw
	dir := t.TempDir()
	for _, kind := range []string{"readings", "rejects"} {
		for _, form := range []string{"csv", "parquet"} {
			if code, _, wrong := call(t, socket, "", "export", kind, "--to", filepath.Join(dir, kind+"."+form)); code != app.ExitFine {
				t.Fatal(code, wrong)
			}
		}
		content, err := os.ReadFile(filepath.Join(dir, kind+".csv"))
		if err != nil || !utf8.Valid(content) || strings.ContainsRune(string(content), 0) {
			t.Fatalf("%s: %q, %v", kind, content, err)
		}
		rows, err := csv.NewReader(strings.NewReader(string(content))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if got := rows[len(rows)-1][slices.Index(rows[0], "raw")]; got != `\xff\x00\xfe\xe4\xf6` {
			t.Errorf("%s: raw is %q", kind, got)
		}
		path := filepath.Join(dir, kind+".parquet")
		read, err := parquet.ReadFile[struct {
			Raw []byte `parquet:"raw,optional"`
		}](path)
		if err != nil || len(read) != len(rows)-1 || string(read[len(read)-1].Raw) != string(raw) {
			t.Errorf("%s: %q, %v", kind, read, err)
		}
		if got := typeOf(t, path, "raw"); got != "BYTE_ARRAY" {
			t.Errorf("%s: the column of the bytes is of type %s", kind, got)
		}
		if got := typeOf(t, path, "gauge_id"); got != "STRING" {
			t.Errorf("%s: the column of a text is of type %s", kind, got)
		}
	}
}

// typeOf is the type of a column of a Parquet file.
func typeOf(t *testing.T, path, column string) string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	read, err := parquet.OpenFile(file, info.Size())
	if err != nil {
		t.Fatal(err)
	}
	leaf, ok := read.Schema().Lookup(column)
	if !ok {
		t.Fatalf("no column %s", column)
	}
	return leaf.Node.Type().String()
}

// TestExportToAFolder: each call adds what came since the one before, under numbers that
// follow on each other; nothing new adds nothing, and nothing is doubled or left out.
func TestExportToAFolder(t *testing.T) {
	f, socket := exporting(t)
	dir := t.TempDir()
	names := func() (names []string) {
		files, err := filepath.Glob(filepath.Join(dir, "*.*l"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			names = append(names, filepath.Base(file))
		}
		return names
	}
	export := func(want string) {
		t.Helper()
		if code, _, wrong := call(t, socket, "", "export", "readings", "--folder", dir, "--form", "jsonl"); code != app.ExitFine || !strings.Contains(wrong, want) {
			t.Fatalf("exit %d, %q, want %q", code, wrong, want)
		}
	}
	export("5 readings up to entry 54")
	export("no readings came after entry 54")
	f.store("0.600")
	f.store("0.700")
	export("2 readings up to entry 56")
	want := []string{"readings-00000000000000000050-00000000000000000054.jsonl", "readings-00000000000000000055-00000000000000000056.jsonl"}
	if got := names(); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if err := os.Rename(filepath.Join(dir, want[1]), filepath.Join(dir, "readings-00000000000000000055-00000000000000999999.jsonl")); err != nil {
		t.Fatal(err)
	}
	if code, _, wrong := call(t, socket, "", "export", "readings", "--folder", dir); code != app.ExitFailure || !strings.Contains(wrong, "go up to entry 999999, and this history ends with entry") {
		t.Errorf("another history: exit %d, %q", code, wrong)
	}
}

// TestExportRefusals: what cannot be written leaves what was there.
func TestExportRefusals(t *testing.T) {
	_, socket := exporting(t)
	dir := t.TempDir()
	old := filepath.Join(dir, "old.csv")
	if err := os.WriteFile(old, []byte("kept"), 0o600); err != nil {
		t.Fatal(err)
	}
	for args, want := range map[string]string{
		"readings":                                      "say where it goes: --to FILE, or --folder DIRECTORY",
		"results":                                       "say where it goes: --to FILE",
		"readings --to a.csv --folder " + dir:           "say where it goes",
		"readings --to " + dir + "/a.xls":               "its ending says no form",
		"readings --folder " + dir + " --form xls":      "csv, jsonl or parquet",
		"readings --folder " + dir + " --gauge depth-1": "leave --gauge out",
		"readings --folder " + dir + "/none":            "there is no",
		"readings --to " + dir + "/none/a.csv":          "none",
		"readings --since yesterday --to " + old:        "is not a time",
	} {
		code, _, wrong := call(t, socket, "", append([]string{"export"}, strings.Fields(args)...)...)
		if code == app.ExitFine || !strings.Contains(wrong, want) {
			t.Errorf("%s: exit %d, %q, want %q", args, code, wrong, want)
		}
	}
	if content, err := os.ReadFile(old); err != nil || string(content) != "kept" {
		t.Errorf("%q, %v", content, err)
	}
	if files, err := os.ReadDir(dir); err != nil || len(files) != 1 {
		t.Errorf("%v, %v", files, err)
	}
}
