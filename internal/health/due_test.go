package health

import (
	"encoding/json"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/words"
)

// Days are shown in the zone of who reads them.
func init() { time.Local = time.UTC }

func marshal(t testing.TB, data CheckedData) []byte {
	t.Helper()
	encoded, err := json.Marshal(data)
	if err != nil {
		t.Fatal(err)
	}
	return encoded
}

// german words a message in German.
func german(t *testing.T, m gauge.Message) string {
	t.Helper()
	text, err := words.In(words.German).Text(m)
	if err != nil {
		t.Error(err)
	}
	return text
}

// TestDueInGerman: why a check is due, for a job, by the calendar or after what a gauge
// failed, is a message that has its words in German, too.
func TestDueInGerman(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC) }
	passed := func(seq uint64, n int) *check.Record {
		return &check.Record{Seq: seq, Time: day(n), Result: check.Result{Verdict: check.Pass}}
	}
	failed := &check.Record{Seq: 5, Time: day(4), Result: check.Result{Verdict: check.Fail}}
	each, within, every := &check.Plan{BeforeEach: true}, &check.Plan{BeforeWithin: 8 * time.Hour}, &check.Plan{Every: 24 * time.Hour}
	used := Use{Job: 7, Seq: 3}
	for _, c := range []struct {
		h    Gauge
		want string
	}{
		{Gauge{Standing: InService}, ""},
		{Gauge{Standing: InService, Plan: each}, "Messmittel dial wurde noch nie an einem Normal geprüft"},
		{Gauge{Standing: InService, Plan: every, Last: failed}, "Messmittel dial hat noch keine Prüfung an einem Normal bestanden"},
		{Gauge{Standing: InService, Plan: every, Last: passed(1, 1), Good: passed(1, 1)}, "die Prüfung von Messmittel dial war am 2.3.2026 fällig"},
		{Gauge{Standing: InService, Plan: within, Last: failed, Good: passed(1, 1)}, "die letzte bestandene Prüfung von Messmittel dial war am 1.3.2026 12:00:00 +00:00; ein Auftrag verlangt eine aus den letzten 8 h"},
		{Gauge{Standing: InService, Plan: each, Last: passed(1, 1), Good: passed(1, 1), Use: used}, "Messmittel dial wurde nicht geprüft, seit Auftrag 7 es verwendet hat"},
		{Gauge{Standing: InService, Plan: each, Last: failed, Good: passed(1, 1), Use: used}, "Messmittel dial hat keine Prüfung bestanden, seit Auftrag 7 es verwendet hat"},
	} {
		if got := german(t, c.h.DueNow("dial", day(9))); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	one := passed(1, 1)
	same := Gauge{Standing: InService, Plan: within, Last: one, Good: one}
	if got, want := german(t, same.DueNow("dial", day(9))), "die letzte Prüfung von Messmittel dial war am 1.3.2026 12:00:00 +00:00; ein Auftrag verlangt eine aus den letzten 8 h"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	after := Gauge{Standing: InService, Plan: &check.Plan{AfterEach: true}, Use: used}
	if got, want := german(t, after.DueAfterLast("dial")), "die Prüfung von Messmittel dial nach Auftrag 7 steht noch aus"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	h := &Gauge{Standing: InService}
	h.turn(turn{seq: 1, place: 1, time: day(4), verdict: check.Fail, zero: true}, gauge.Fact{Gauge: &gauge.GaugeFact{}})
	if got, want := german(t, h.Why), "seine Nullrückkehr vom 4.3.2026 wurde nicht bestanden"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	h.turn(turn{seq: 2, place: 2, time: day(5), said: StandingData{Standing: InService, Reason: "it is fine"}, by: "ann"}, gauge.Fact{Gauge: &gauge.GaugeFact{}})
	if got, want := german(t, h.DueNow("dial", day(9))), "Messmittel dial hat seine Nullrückkehr vom 4.3.2026 nicht bestanden, wurde am 5.3.2026 von ann von Hand wieder in Einsatz genommen (it is fine) und hat seither keine Prüfung bestanden"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestPartialOfBefore: what an older check lacks of its plan was stored as a text, and is
// told as it was written.
func TestPartialOfBefore(t *testing.T) {
	for stored, want := range map[string]string{
		`{"partial":"2 readings at block"}`: "2 readings at block",
		string(marshal(t, CheckedData{Partial: gauge.Say("partial.readings_falling", gauge.Count("readings", 2), gauge.Text("master", "block"))})): "2 Messwerte an block von oben",
		`{}`: "",
	} {
		var data CheckedData
		err := json.Unmarshal([]byte(stored), &data)
		if got := german(t, data.Partial); err != nil || got != want {
			t.Errorf("%s: %q, %v; want %q", stored, got, err, want)
		}
	}
}
