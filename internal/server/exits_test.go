package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/historytest"
	"gauged/internal/tail"
)

// dead is a receiver that refuses everything until it is told to take it.
type dead struct {
	mu    sync.Mutex
	takes bool
	took  []string
}

var errNotTaken = gauge.Refused("exit.answered", gauge.Count("status", 500))

func (d *dead) Send(_ context.Context, l letter.Letter) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.takes {
		return errNotTaken
	}
	d.took = append(d.took, l.ID)
	return nil
}

func (*dead) Close() {}

// hooked is a history that exits follow.
type hooked struct{ *tail.Tail }

func (h hooked) Watch(after uint64) *tail.Cursor { return h.From(after) }

// TestExitsByCalls: exits in pages, what they gave up in pages, and what is sent again.
func TestExitsByCalls(t *testing.T) {
	store := historytest.Open(t)
	newest := tail.New(store)
	x := exits.New(exits.Options{
		Store: store, History: hooked{newest}, Now: time.Now, Log: slog.New(slog.DiscardHandler), First: time.Nanosecond, Longest: time.Nanosecond, KeepAfter: -1,
		Writer: func() letter.Write {
			return func(_ context.Context, f gauge.Fact) (letter.Letter, error) {
				return letter.Letter{Fact: f, ID: fmt.Sprint(f.Seq)}, nil
			}
		},
	})
	shop := &dead{}
	x.Set(t.Context(), []exits.Definition{
		{ID: "orders", Address: "https://erp.example/", Events: []gauge.Event{gauge.EventGauge}, GiveUpAfter: time.Nanosecond, Settings: 1, Sender: shop},
		{ID: "other", Events: []gauge.Event{gauge.EventCheck}, Settings: 2, Sender: &dead{}},
	})
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { x.Run(ctx) })
	defer running.Wait()
	defer cancel()
	var facts []gauge.Fact
	for seq := range uint64(3) {
		facts = append(facts, gauge.Fact{Seq: seq + 1, State: &gauge.StateChange{Gauge: "dial", Time: time.Now().Add(-time.Hour), State: gauge.StateLive}})
	}
	if err := store.Append(t.Context(), facts); err != nil {
		t.Fatal(err)
	}
	newest.Add(facts)
	until := func(is func(exits.Status) bool) {
		for !is(x.All()[0]) {
			time.Sleep(time.Millisecond)
		}
	}
	until(func(s exits.Status) bool { return s.Dead == 3 })
	calls := &exitService{exits: x}

	names, sizes := paged(t, func(token string) ([]string, string, error) {
		a, err := calls.ListExits(t.Context(), &gaugedv1.ListExitsRequest{PageSize: 1, PageToken: token})
		return named(a.GetExits(), (*gaugedv1.Exit).GetExitId), a.GetNextPageToken(), err
	})
	wantText(t, fmt.Sprint(names, sizes), "[orders other] [1 1]")
	list, err := calls.ListExits(t.Context(), &gaugedv1.ListExitsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if e := list.GetExits()[0]; e.GetDeadLetterCount() != 3 || e.GetFailedCount() < 3 || e.GetFailure().GetCode() != "exit.answered" || e.GetAfterSeq() != 3 || e.GetBehindCount() != 0 {
		t.Errorf("%v", e)
	}
	letters := func() string {
		all, sizes := paged(t, func(token string) ([]string, string, error) {
			a, err := calls.ListDeadLetters(t.Context(), &gaugedv1.ListDeadLettersRequest{ExitId: "orders", PageSize: 2, PageToken: token})
			return named(a.GetDeadLetters(), func(l *gaugedv1.DeadLetter) string { return fmt.Sprint(l.GetSeq(), " ", l.GetEventKind()) }), a.GetNextPageToken(), err
		})
		return fmt.Sprint(all, sizes)
	}
	wantText(t, letters(), "[1 EXIT_EVENT_KIND_GAUGE 2 EXIT_EVENT_KIND_GAUGE 3 EXIT_EVENT_KIND_GAUGE] [2 1]")

	shop.mu.Lock()
	shop.takes = true
	shop.mu.Unlock()
	if a, err := calls.SendDeadLetters(t.Context(), &gaugedv1.SendDeadLettersRequest{ExitId: "orders", Seqs: []uint64{3, 1}}); err != nil || a.GetCount() != 2 {
		t.Fatal(a, err)
	}
	until(func(s exits.Status) bool { return s.Dead == 1 })
	wantText(t, letters(), "[2 EXIT_EVENT_KIND_GAUGE] [1]")
	wantText(t, fmt.Sprint(shop.took), "[1 3]")
	if _, err := calls.ListDeadLetters(t.Context(), &gaugedv1.ListDeadLettersRequest{ExitId: "order"}); !errors.Is(err, gauge.ErrNotFound) {
		t.Errorf("an exit that there is not: %v", err)
	}
}

// TestOnlyALeadLeadsExits: who may read sees the exits; to pause one is another right.
func TestOnlyALeadLeadsExits(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	calls := gaugedv1.NewExitServiceClient(r.conn)
	_, reader := r.token(access.RoleReader)
	if _, err := calls.ListExits(showing(t.Context(), reader), &gaugedv1.ListExitsRequest{}); err != nil {
		t.Error(err)
	}
	if _, err := calls.PauseExit(showing(t.Context(), reader), &gaugedv1.PauseExitRequest{ExitId: "orders"}); status.Code(err) != codes.PermissionDenied {
		t.Errorf("a reader pauses an exit: %v", err)
	}
}
