package metrics

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/history"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/station"
)

// unlike is a history of which all facts are not what was stored.
type unlike struct{ *history.Store }

func (u unlike) Unlike(context.Context) (map[uint64]bool, error) {
	return map[uint64]bool{1: true, 2: true}, nil
}

// TestDamagedFactsAreCounted: a damaged fact of a gauge and one of access are counted each by
// what it belongs to.
func TestDamagedFactsAreCounted(t *testing.T) {
	none, err := library.New(t.Context().Err, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	scrape := func(store station.Store) string {
		s, err := station.New(t.Context(), station.Options{
			Store: store, Library: none, Now: func() time.Time { return noon }, Gauges: []station.GaugeInfo{{ID: "dial", Mode: gauge.ModeButton}, {ID: "other", Mode: gauge.ModeButton}},
		})
		if err != nil {
			t.Fatal(err)
		}
		return (&rig{Station: s, t: t, Metrics: New(Options{Station: s, Commits: NewCommits(), Log: quiet, Now: func() time.Time { return noon }})}).scrape()
	}
	store := historytest.OpenAt(t, filepath.Join(t.TempDir(), "history.db"))
	facts, err := access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleReader})(access.Register{}, noon)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Append(t.Context(), []gauge.Fact{
		{Seq: 1, Access: &facts[0]},
		{Seq: 2, Gauge: &gauge.GaugeFact{Gauge: "dial", Time: noon, Kind: health.KindStanding, By: "Ada", Data: []byte(`{"standing":"retired","reason":"worn"}`)}},
	}); err != nil {
		t.Fatal(err)
	}
	for want, store := range map[string]station.Store{"0": store, "1": unlike{store}} {
		text := scrape(store)
		for _, name := range []string{"gauged_gauges_damaged ", "gauged_access_damaged "} {
			if !strings.Contains(text, name+want+"\n") {
				t.Errorf("there is no %s%s in\n%s", name, want, text)
			}
		}
	}
}
