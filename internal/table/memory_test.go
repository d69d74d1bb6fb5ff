package table

import (
	"io"
	"runtime"
	"strings"
	"testing"
)

// made gives a table of so many rows without holding it.
func made(rows int) io.Reader {
	return io.MultiReader(strings.NewReader("time,name,value,unit\n"), &repeated{line: "2026-03-01,\"shaft \"\"B\"\"\",12.345,mm\n", left: rows})
}

type repeated struct {
	line string
	rest string
	left int
}

func (r *repeated) Read(into []byte) (n int, err error) {
	for n < len(into) {
		if r.rest == "" {
			if r.left == 0 {
				return n, io.EOF
			}
			r.left--
			r.rest = r.line
		}
		took := copy(into[n:], r.rest)
		n, r.rest = n+took, r.rest[took:]
	}
	return n, nil
}

var madeForm = Form{Columns: Needed("time", "name", "value", "unit")}

// TestMemory: reading takes the same memory for any number of rows: nothing is
// allocated for a row, and what its cells take is let go.
func TestMemory(t *testing.T) {
	read := func(rows int) {
		table := New("f.csv", made(rows), madeForm)
		n := 0
		for range table.Rows() {
			n++
		}
		if table.Err() != nil || n != rows {
			t.Fatalf("%d rows, %v", n, table.Err())
		}
	}
	few := testing.AllocsPerRun(3, func() { read(10) })
	many := testing.AllocsPerRun(3, func() { read(20_000) })
	if many != few {
		t.Errorf("%.0f allocations for 10 rows, %.0f for 20000", few, many)
	}

	var before, during, after runtime.MemStats
	const rows = 1_000_000
	table := New("f.csv", made(rows), madeForm)
	runtime.GC()
	runtime.ReadMemStats(&before)
	n := 0
	for row := range table.Rows() {
		if n++; row.Text("name") != `shaft "B"` || row.Number("value") != "12.345" {
			t.Fatal(row.Text("name"))
		}
		if n%250_000 == 0 {
			runtime.GC()
			runtime.ReadMemStats(&during)
			if during.HeapAlloc > before.HeapAlloc+1<<20 {
				t.Errorf("after %d rows %d bytes are held, %d before", n, during.HeapAlloc, before.HeapAlloc)
			}
		}
	}
	runtime.ReadMemStats(&after)
	if table.Err() != nil || n != rows || during.HeapAlloc == 0 {
		t.Errorf("%d rows, %v", n, table.Err())
	}
	// a file without an end is refused in the same memory
	endless := New("f.csv", &repeated{line: "x", left: 100 << 20}, madeForm)
	runtime.ReadMemStats(&before)
	for range endless.Rows() {
		t.Error("a row")
	}
	runtime.ReadMemStats(&after)
	if endless.Err() == nil || after.TotalAlloc-before.TotalAlloc > 1<<20 {
		t.Errorf("%d bytes for a line without an end, %v", after.TotalAlloc-before.TotalAlloc, endless.Err())
	}
}

func BenchmarkRead(b *testing.B) {
	const rows = 1_000_000
	b.ReportAllocs()
	for b.Loop() {
		table := New("f.csv", made(rows), madeForm)
		n := 0
		for row := range table.Rows() {
			if row.Number("value") != "" {
				n++
			}
		}
		if table.Err() != nil || n != rows {
			b.Fatal(n, table.Err())
		}
	}
	b.ReportMetric(float64(b.N)*rows/b.Elapsed().Seconds(), "rows/s")
}
