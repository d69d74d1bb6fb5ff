package history

import (
	"errors"
	"path/filepath"
	"testing"
)

// TestSettingsOfEveryConnection asks each open connection itself.
func TestSettingsOfEveryConnection(t *testing.T) {
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "history.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	want := map[string]string{
		"busy_timeout": "5000", "journal_mode": "wal", "synchronous": "2", "fullfsync": "1",
		"checkpoint_fullfsync": "1", "wal_autocheckpoint": "1000", "journal_size_limit": "67108864",
		"foreign_keys": "1", "recursive_triggers": "1", "trusted_schema": "0", "cell_size_check": "1",
		"query_only": "0", "application_id": "1734440295", "page_size": "4096",
	}
	for name, value := range want {
		if got, err := queryText(s.writer.conn, "PRAGMA "+name); err != nil || got != value {
			t.Errorf("writer: %s is %q, %v, want %q", name, got, err, value)
		}
	}
	want["query_only"] = "1"
	for range maxReaders {
		r := <-s.idle
		for name, value := range want {
			if got, err := queryText(r.conn, "PRAGMA "+name); err != nil || got != value {
				t.Errorf("reader: %s is %q, %v, want %q", name, got, err, value)
			}
		}
		if err := r.conn.Exec("INSERT INTO states VALUES (1, '', 0, '', '')"); err == nil {
			t.Error("a reader can write")
		}
		defer func() { s.idle <- r }()
	}
}

func TestSettingThatDoesNotHoldIsRefused(t *testing.T) {
	p := place{path: filepath.Join(t.TempDir(), "history.db")}
	for _, test := range []struct {
		pragma pragma
		want   string
	}{
		{pragma{"synchronus", "FULL", "2"}, `SQLite reports "" instead of "2"`},
		{pragma{"synchronous", "NORMAL", "2"}, `SQLite reports "1" instead of "2"`},
	} {
		_, err := p.connect("rwc", []pragma{test.pragma})
		want := "open history " + p.path + ": setting " + test.pragma.name + ": " + test.want
		if err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

func TestOldSQLiteIsRefused(t *testing.T) {
	for version, want := range map[string]string{
		"3.51.3": "", "3.54.1": "", "4.0.0": "", "3.52.0": "",
		"3.51.2": "SQLite 3.51.2 is too old: version 3.51.3 or newer is needed",
		"3.7.17": "SQLite 3.7.17 is too old: version 3.51.3 or newer is needed",
		"2.99.9": "SQLite 2.99.9 is too old: version 3.51.3 or newer is needed",
	} {
		err := checkSQLite(version)
		if want == "" && err != nil || want != "" && (err == nil || err.Error() != want) {
			t.Errorf("%s: got %v, want %q", version, err, want)
		}
	}
	if err := checkSQLite("new"); err == nil || errors.Unwrap(err) == nil {
		t.Errorf("a version that is no number: %v", err)
	}
}
