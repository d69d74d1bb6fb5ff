package message

import (
	"runtime"
	"strings"
	"testing"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/station"
)

// TestCutReadingsKeepNoMore: of what is too long nothing is held in memory but its beginning,
// as long as the reading is.
func TestCutReadingsKeepNoMore(t *testing.T) {
	const size = 1 << 20
	kept := make([]station.Ingested, 64)
	before := heap()
	for i := range kept {
		var err error
		if kept[i], err = FromIngested(&gaugedv1.IngestedReading{
			SourceSeq: 1, GaugeId: strings.Repeat(" ", size) + "far", Shown: strings.Repeat("1", size), By: strings.Repeat("x", size), Raw: make([]byte, size),
		}); err != nil {
			t.Fatal(err)
		}
	}
	if grown := heap() - before; grown > size {
		t.Errorf("%d readings of %d kB hold %d kB", len(kept), size>>10, grown>>10)
	}
	runtime.KeepAlive(kept)
}

func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}
