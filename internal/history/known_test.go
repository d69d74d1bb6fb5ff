package history_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestAnotherHistoryIsNeverSilent: a history that was emptied, replaced, cut, restored from
// an older copy or changed at its end is told at the next opening, and no other one.
func TestAnotherHistoryIsNeverSilent(t *testing.T) {
	for name, test := range map[string]struct {
		change func(t *testing.T, path string)
		want   string
	}{
		"nothing":    {func(*testing.T, string) {}, ""},
		"moved away": {func(t *testing.T, path string) { must(t, os.Rename(path, path+".away")) }, "a new history has begun: the one before, "},
		"emptied":    {func(t *testing.T, path string) { must(t, os.Truncate(path, 0)) }, "a new history has begun: the one before, "},
		"cut": {func(t *testing.T, path string) {
			changeSQL(t, path, "DELETE FROM chain WHERE last > 20; DELETE FROM readings WHERE seq > (SELECT max(last) FROM chain)")
		}, "this is an older copy, or its end was cut off"},
		"changed at its end": {func(t *testing.T, path string) {
			changeSQL(t, path, "UPDATE readings SET value = 0 WHERE seq = (SELECT max(seq) FROM readings)")
		}, "is not what was stored"},
		"another way": {func(t *testing.T, path string) {
			changeSQL(t, path, "UPDATE chain SET digest = zeroblob(32) WHERE last = (SELECT max(last) FROM chain)")
		}, "up to fact "},
	} {
		path := chained(t)
		test.change(t, path)
		s := openPlain(t, path)
		found := strings.Join(s.Found(), "; ")
		if test.want == "" && found != "" || !strings.Contains(found, test.want) {
			t.Errorf("%s: %q, want %q", name, found, test.want)
		}
		closeStore(t, s)
		again := openPlain(t, path)
		if found := strings.Join(again.Found(), "; "); name != "changed at its end" && name != "another way" && found != "" {
			t.Errorf("%s, opened again: %q", name, found)
		}
		closeStore(t, again)
		if _, err := os.Stat(filepath.Join(path + ".known")); err != nil {
			t.Error(err)
		}
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
