//go:build page

package pagetest

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// TestParquetIsRead: a reader of others has from a Parquet file what the JSON lines have.
func TestParquetIsRead(t *testing.T) {
	b := newBench(t)
	dir := t.TempDir()
	for n, digits := range []string{"24.700", "-0.002", "25.210"} {
		b.pressed("depth", digits)
		b.await("the reading is stored", func() bool { return len(b.exported(filepath.Join(dir, "r.jsonl"))) == n+1 })
	}
	columns := filepath.Join(dir, "r.parquet")
	b.gaugectl("export", "readings", "--gauge", "depth", "--to", columns)
	// The script lies beside the package that it reads with.
	script := filepath.Join(kept, "read-parquet.mjs")
	source, err := os.ReadFile("read-parquet.mjs")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(script, source, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("node", script, columns).Output()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	rows, lines := objects(t, out), b.exported(filepath.Join(dir, "again.jsonl"))
	if len(rows) != len(lines) || len(rows) < 3 {
		t.Fatalf("%d rows, %d lines", len(rows), len(lines))
	}
	for i, row := range rows {
		value := lines[i]["value"].(map[string]any)
		at, err := time.Parse(time.RFC3339Nano, fmt.Sprint(row["time"]))
		if err != nil {
			t.Fatal(err)
		}
		sent, err := time.Parse(time.RFC3339Nano, fmt.Sprint(lines[i]["time"]))
		if err != nil {
			t.Fatal(err)
		}
		// Times of JavaScript have milliseconds.
		if row["seq"] != lines[i]["seq"] || row["gauge_id"] != "depth" || row["value"] != value["text"] || row["value_picometres"] != value["picometres"] || row["value_unit"] != "mm" || !at.Equal(sent.Truncate(time.Millisecond)) {
			t.Errorf("%v is read as %v", lines[i], row)
		}
	}
}

// exported are the readings of the depth gauge as JSON lines.
func (b *bench) exported(to string) []map[string]any {
	b.Helper()
	b.gaugectl("export", "readings", "--gauge", "depth", "--to", to)
	content, err := os.ReadFile(to)
	if err != nil {
		b.Fatal(err)
	}
	return objects(b, content)
}

func objects(t testing.TB, lines []byte) (all []map[string]any) {
	t.Helper()
	for in := bufio.NewScanner(bytes.NewReader(lines)); in.Scan(); {
		var one map[string]any
		if err := json.Unmarshal(in.Bytes(), &one); err != nil {
			t.Fatalf("%v: %s", err, in.Text())
		}
		all = append(all, one)
	}
	return all
}
