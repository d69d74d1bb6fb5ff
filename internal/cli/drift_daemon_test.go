package cli

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

// TestDriftOfAGaugeIsTheReviewOfTheDaemon: the numbers of gaugectl drift --gauge are
// those of the station, though it has them in metres and the command in the gauge's
// unit; with the spread of the repeats, an adjustment, a zero return, a clock that is
// set back, and the advice by use.
func TestDriftOfAGaugeIsTheReviewOfTheDaemon(t *testing.T) {
	start := time.Date(2025, 1, 6, 8, 0, 0, 0, time.UTC)
	var day atomic.Int64
	b := newStudyBenchAt(t, func() time.Time { return start.AddDate(0, 0, int(day.Load())) })
	typed := func(thousandths ...int) (all []station.TypedReading) {
		for _, n := range thousandths {
			all = append(all, station.TypedReading{Shown: fmt.Sprintf("%.3f", float64(n)/1000), Unit: gauge.Millimetre})
		}
		return all
	}
	for i, off := range []int{0, 1, -1, 2, 0, 1, 1, 2, 1, 3, 2, 3, 4, 3} {
		day.Store(int64(30 * i))
		request := station.CheckRequest{Gauge: "micrometer", By: "quality", Found: []station.CheckPoint{
			{Master: "zero", Typed: typed(off, off+i%3, off+1)}, {Master: "block-5", Typed: typed(5000+off, 5001+off, 5000+off-i%2)},
		}}
		if i == 6 {
			request.Left = []station.CheckPoint{{Master: "zero", Typed: typed(0, 0)}}
		}
		if _, err := b.RecordCheck(t.Context(), request); err != nil {
			t.Fatal(err)
		}
	}
	day.Store(395)
	if _, err := b.RecordZeroReturn(t.Context(), station.ZeroRequest{Gauge: "micrometer", By: "quality", Typed: typed(2)[0]}); err != nil {
		t.Fatal(err)
	}
	day.Store(385) // set back
	if _, err := b.RecordZeroReturn(t.Context(), station.ZeroRequest{Gauge: "micrometer", By: "quality", Typed: typed(3)[0]}); err != nil {
		t.Fatal(err)
	}
	reviewed, err := b.Review(t.Context(), "micrometer", "")
	if err != nil {
		t.Fatal(err)
	}
	review := reviewed.At
	code, stdout, stderr := call(t, b.socket, "", "drift", "micrometer", "--output", "json")
	if code != app.ExitFine {
		t.Fatal(stderr)
	}
	text, err := json.Marshal(reviewed.Gauge)
	if err != nil {
		t.Fatal(err)
	}
	var want, got map[string]any
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(stdout), &got); err != nil {
		t.Fatal(err)
	}
	if got["unit"] != "mm" || review.Spreads == nil || review.Charts == nil || review.ByTime == nil || len(review.Advice) != 4 {
		t.Fatalf("unit %v, review %+v", got["unit"], review)
	}
	if code, stdout, _ := call(t, b.socket, "", "drift", "micrometer"); code != app.ExitFine || !strings.Contains(stdout, "37 days (extend), by 2026-03-09; ") {
		t.Errorf("the last check is of 2026-01-31, and the interval was 30 days:\n%s", stdout)
	}
	delete(got, "unit")
	sameButUnit(t, "", want, got)
}

// TestFileAndDaemonAdviseAlike: the same checks give the same advice from a file.
func TestFileAndDaemonAdviseAlike(t *testing.T) {
	start := time.Date(2025, 1, 6, 8, 0, 0, 0, time.UTC)
	var day atomic.Int64
	b := newStudyBenchAt(t, func() time.Time { return start.AddDate(0, 0, int(day.Load())) })
	typed := func(thousandths ...int) (all []station.TypedReading) {
		for _, n := range thousandths {
			all = append(all, station.TypedReading{Shown: fmt.Sprintf("%.3f", float64(n)/1000), Unit: gauge.Millimetre})
		}
		return all
	}
	for i, off := range []int{0, 1, -1, 0, 0, 1, 0, 1, 1, 0, 1, 1} {
		day.Store(int64(30 * i))
		request := station.CheckRequest{Gauge: "micrometer", By: "quality", Found: []station.CheckPoint{
			{Master: "zero", Typed: typed(off, off+i%3, off+1)}, {Master: "block-5", Typed: typed(5000-off, 5001-off, 5000-off-i%2)},
		}}
		if i == 5 {
			request.Left = []station.CheckPoint{{Master: "zero", Typed: typed(0, 0)}, {Master: "block-5", Typed: typed(5000, 5001)}}
		}
		if _, err := b.RecordCheck(t.Context(), request); err != nil {
			t.Fatal(err)
		}
	}
	records, err := b.Checks(t.Context(), "micrometer")
	if err != nil {
		t.Fatal(err)
	}
	table := "time,master,error,uncertainty,shared,left,spread,repeats,uses,verdict\n"
	for _, c := range records {
		for i, p := range c.Result.Points {
			independent, shared := c.Parted(p)
			left := ""
			if c.Left != nil {
				left = c.Left.Points[i].Error.Text(gauge.Millimetre, 9)
			}
			table += fmt.Sprintf("%s,%s,%s,%.12g,%.12g,%s,%.12g,%d,%d,%s\n", c.Time.Format(time.RFC3339), p.Master, p.Error.Text(gauge.Millimetre, 9),
				independent*1e3, shared*1e3, left, p.Spread*1e3, p.Repeats, c.Uses, p.Verdict)
		}
	}
	advice := func(args ...string) (advised []any) {
		t.Helper()
		code, stdout, stderr := call(t, b.socket, "", append([]string{"drift", "--output", "json"}, args...)...)
		if code != app.ExitFine {
			t.Fatal(stderr)
		}
		var view map[string]any
		if err := json.Unmarshal([]byte(stdout), &view); err != nil {
			t.Fatal(err)
		}
		return view["advice"].([]any)
	}
	fromFile, fromDaemon := advice("--file", checksFile(t, table), "--mpe", "8um", "--unit", "mm"), advice("micrometer")
	if len(fromFile) != 4 {
		t.Errorf("%d pieces of advice", len(fromFile))
	}
	sameButUnit(t, "", fromDaemon, fromFile)
	noise := func(deviation string) string {
		_, stdout, _ := call(t, b.socket, "", "drift", "micrometer", "--deviation", deviation)
		return stdout
	}
	if with := noise("0.01um"); with != noise("0.00001") || with == noise("1mm") {
		t.Errorf("a deviation in um, for a gauge in mm, says\n%s\nin mm\n%s", with, noise("0.00001"))
	}
	h, err := b.Health("micrometer")
	if err != nil {
		t.Fatal(err)
	}
	shown, _ := h.Advice()
	text, err := json.Marshal(shown)
	if err != nil {
		t.Fatal(err)
	}
	var fromHealth []any
	if err := json.Unmarshal(text, &fromHealth); err != nil {
		t.Fatal(err)
	}
	sameButUnit(t, "", fromHealth, fromFile)
}

// sameButUnit compares the numbers of a review in metres with those in millimetres: each is
// the same, or a thousand times as much.
func sameButUnit(t *testing.T, path string, want, got any) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, _ := got.(map[string]any)
		if len(g) != len(w) {
			t.Errorf("%s: got %v, want %v", path, got, want)
		}
		for k := range w {
			sameButUnit(t, path+"."+k, w[k], g[k])
		}
	case []any:
		g, _ := got.([]any)
		if len(g) != len(w) {
			t.Fatalf("%s: got %v, want %v", path, got, want)
		}
		for i := range w {
			sameButUnit(t, path+"."+strconv.Itoa(i), w[i], g[i])
		}
	case float64:
		g, _ := got.(float64)
		near := func(x float64) bool { return math.Abs(g-x) <= 1e-5*math.Abs(x) } // an answer has whole picometres
		if !near(w) && !near(1000*w) {
			t.Errorf("%s: got %v, want %v", path, got, want)
		}
	default:
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %v, want %v", path, got, want)
		}
	}
}
