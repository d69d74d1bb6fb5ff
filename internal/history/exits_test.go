package history_test

import (
	"errors"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// TestExits: how far an exit has come and what it gave up is there when the history is opened
// again, and is no part of its chain.
func TestExits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s := openPlain(t, path)
	mustAppend(t, s, readings(0, 9)...)
	head := s.Head("bench", start)
	if _, known, err := s.Exit(t.Context(), "shop"); err != nil || known {
		t.Fatalf("an exit before there was one: %v, %v", known, err)
	}
	keep := func(e gauge.Exit, letters ...gauge.DeadLetter) {
		t.Helper()
		if err := s.KeepExit(t.Context(), e, letters...); err != nil {
			t.Fatal(err)
		}
	}
	keep(gauge.Exit{Name: "shop", After: 3, State: []byte(`{"a":1}`)}, gauge.DeadLetter{Seq: 2, State: []byte("two")}, gauge.DeadLetter{Seq: 1, State: []byte("one")})
	keep(gauge.Exit{Name: "other", After: 9, State: []byte("{}")}, gauge.DeadLetter{Seq: 2, State: []byte("of another")})
	want := gauge.Exit{Name: "shop", After: 5, State: []byte(`{"a":2}`)}
	keep(want, gauge.DeadLetter{Seq: 1}, gauge.DeadLetter{Seq: 4, State: []byte("four")}, gauge.DeadLetter{Seq: 2, State: []byte("two, tried again")})
	closeStore(t, s)

	s = openPlain(t, path)
	defer closeStore(t, s)
	got, known, err := s.Exit(t.Context(), "shop")
	if diff := cmp.Diff(want, got); diff != "" || !known || err != nil {
		t.Error(diff, known, err)
	}
	letters, err := s.DeadLetters(t.Context(), "shop", 0, 10)
	if diff := cmp.Diff([]gauge.DeadLetter{{Seq: 2, State: []byte("two, tried again")}, {Seq: 4, State: []byte("four")}}, letters); diff != "" || err != nil {
		t.Error(diff, err)
	}
	if letters, err = s.DeadLetters(t.Context(), "shop", 2, 1); len(letters) != 1 || letters[0].Seq != 4 || err != nil {
		t.Errorf("after number 2: %v, %v", letters, err)
	}
	if n, err := s.CountDeadLetters(t.Context(), "shop"); n != 2 || err != nil {
		t.Errorf("%d dead letters, %v", n, err)
	}
	if after := s.Head("bench", start); after.Seq != head.Seq || string(after.Digest) != string(head.Digest) {
		t.Errorf("the head was %v and is %v", head, after)
	}
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
}

// TestExitOfACopy: a copy that is put back goes on from where it was made. What is stored from
// then on has other stretches than what was stored under the same numbers before.
func TestExitOfACopy(t *testing.T) {
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "history.db"), filepath.Join(dir, "copy.db")
	s := openPlain(t, path)
	stretch := func(seq uint64) string {
		t.Helper()
		id, err := s.StretchOf(t.Context(), seq)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	mustAppend(t, s, readings(0, 4)...)
	if err := s.KeepExit(t.Context(), gauge.Exit{Name: "shop", After: 3, State: []byte("{}")}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, readings(4, 2)...)
	if err := s.KeepExit(t.Context(), gauge.Exit{Name: "shop", After: 6, State: []byte("{}")}); err != nil {
		t.Fatal(err)
	}
	third, fifth := stretch(3), stretch(5)
	if third != s.Stretch() || fifth != third {
		t.Errorf("stretches %s and %s of one opening", third, fifth)
	}
	closeStore(t, s)
	if _, _, err := history.Restore(t.Context(), backup, path, start); err != nil {
		t.Fatal(err)
	}
	s = openPlain(t, path)
	defer closeStore(t, s)
	mustAppend(t, s, readings(4, 2)...)
	if e, _, err := s.Exit(t.Context(), "shop"); err != nil || e.After != 3 {
		t.Errorf("the exit of the copy goes on after %d, %v", e.After, err)
	}
	if stretch(3) != third || stretch(5) == fifth {
		t.Errorf("fact 3 has stretch %s, was %s; another fact 5 has %s, was %s", stretch(3), third, stretch(5), fifth)
	}
}

// TestExitOnAFullDisk: what cannot be kept is an error and changes nothing, and it can be kept
// once there is room.
func TestExitOnAFullDisk(t *testing.T) {
	d := newDisk(t)
	s, err := history.OpenOn(t.Context(), filepath.Join(d.shared, "history.db"), d.name, d.syncDir)
	if err != nil {
		t.Fatal(err)
	}
	defer closeStore(t, s)
	mustAppend(t, s, readings(0, 3)...)
	if err := s.KeepExit(t.Context(), gauge.Exit{Name: "shop", After: 1, State: []byte("{}")}); err != nil {
		t.Fatal(err)
	}
	d.inject(func(op operation) error {
		if op.kind == "write" {
			return sqlite3.FULL
		}
		return nil
	})
	next := gauge.Exit{Name: "shop", After: 2, State: []byte("{}")}
	if err := s.KeepExit(t.Context(), next, gauge.DeadLetter{Seq: 2, State: []byte("two")}); !errors.Is(err, sqlite3.FULL) {
		t.Fatalf("on a full disk: %v", err)
	}
	d.inject(nil)
	if e, _, err := s.Exit(t.Context(), "shop"); err != nil || e.After != 1 {
		t.Errorf("after the failure it goes on after %d, %v", e.After, err)
	}
	if err := s.KeepExit(t.Context(), next); err != nil {
		t.Errorf("with room again: %v", err)
	}
	if letters, err := s.DeadLetters(t.Context(), "shop", 0, 9); err != nil || len(letters) > 0 {
		t.Errorf("half of what failed is stored: %v, %v", letters, err)
	}
}
