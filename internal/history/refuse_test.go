package history_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history"
	"gauged/internal/historytest"
)

// execSQL runs SQL on the file at path, past the store.
func execSQL(tb testing.TB, path, sql string) {
	tb.Helper()
	conn, err := sqlite3.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	if err := errors.Join(conn.Exec(sql), conn.Close()); err != nil {
		tb.Fatal(err)
	}
}

func TestForeignFileIsRefused(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "notes.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("These are the notes of the week.\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(dir, "other.db")
	execSQL(t, other, "PRAGMA application_id = 42; CREATE TABLE t (a)")
	unmarked := filepath.Join(dir, "unmarked.db")
	execSQL(t, unmarked, "CREATE TABLE t (a)")
	for path, reason := range map[string]string{
		text:     "it is no SQLite file",
		other:    "its application id is 42",
		unmarked: "its application id is 0",
	} {
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		_, err = history.Open(t.Context(), path)
		want := "open history " + path + ": the file is not a history of gauged: " + reason
		if !errors.Is(err, history.ErrForeign) || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
		if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
			t.Errorf("%s was changed, %v", path, err)
		}
	}
	if names, err := filepath.Glob(filepath.Join(dir, "*")); err != nil || len(names) != 3 {
		t.Errorf("files were left beside them: %v, %v", names, err)
	}
}

func TestNewerHistoryIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	closeStore(t, historytest.OpenAt(t, path))
	execSQL(t, path, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, 1)")
	_, err := history.Open(t.Context(), path)
	want := "upgrade history " + path + ": the history was written by a newer gauged: " +
		"its schema is version 999, this program knows up to 14; install the newer gauged"
	if !errors.Is(err, history.ErrNewer) || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	execSQL(t, path, "DELETE FROM goose_db_version WHERE version_id = 999")
}

func closeStore(tb testing.TB, s *history.Store) {
	tb.Helper()
	if err := s.Close(); err != nil {
		tb.Fatal(err)
	}
}

func TestMissingDirectoryIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "missing", "history.db")
	if _, err := history.Open(t.Context(), path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("Open = %v", err)
	}
}

func TestCutShortCreationGoesOn(t *testing.T) {
	dir := t.TempDir()
	for name, sql := range map[string]string{
		"empty.db":   "",
		"no-mark.db": "PRAGMA journal_mode = WAL",
		"mark.db":    "PRAGMA journal_mode = WAL; PRAGMA application_id = 0x67617567",
	} {
		path := filepath.Join(dir, name)
		execSQL(t, path, sql)
		mustAppend(t, historytest.OpenAt(t, path), mixed(3)...)
	}
}

func TestOddNames(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a b.db", "a+b.db", "a?b.db", "a#b.db", "a%20b.db", "ä.db", "a'b.db", "a&_pragma=b.db"} {
		path := filepath.Join(dir, name)
		s := historytest.OpenAt(t, path)
		mustAppend(t, s, mixed(3)...)
		if _, _, err := s.Backup(t.Context(), path+" copy"); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := os.Stat(path); err != nil {
			t.Errorf("the history is not at its path: %v", err)
		}
	}
}

func TestUpdateAndDeleteAreRefused(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, mixed(9)...)
	statements := []string{
		"UPDATE history SET id = ''", "DELETE FROM history", "REPLACE INTO history VALUES (1, '')",
		"UPDATE readings SET value = 0", "DELETE FROM readings", "REPLACE INTO readings SELECT * FROM readings",
		"UPDATE rejects SET reason = ''", "DELETE FROM rejects", "REPLACE INTO rejects SELECT * FROM rejects",
		"UPDATE states SET state = ''", "DELETE FROM states", "REPLACE INTO states SELECT * FROM states",
		"UPDATE files SET content = x''", "DELETE FROM files", "REPLACE INTO files SELECT * FROM files",
		"UPDATE job_facts SET data = x''", "DELETE FROM job_facts", "REPLACE INTO job_facts SELECT * FROM job_facts",
		"UPDATE gauge_facts SET data = x''", "DELETE FROM gauge_facts", "REPLACE INTO gauge_facts SELECT * FROM gauge_facts",
		"UPDATE releases SET by = ''", "DELETE FROM releases", "REPLACE INTO releases SELECT * FROM releases",
		"UPDATE access_facts SET subject = ''", "DELETE FROM access_facts", "REPLACE INTO access_facts SELECT * FROM access_facts",
	}
	for _, sql := range statements {
		err := s.ExecWriter(sql)
		if !errors.Is(err, sqlite3.CONSTRAINT_TRIGGER) || !strings.Contains(err.Error(), "the history is append-only") {
			t.Errorf("%s: %v", sql, err)
		}
	}
}

func TestStrictTables(t *testing.T) {
	s := historytest.Open(t)
	for _, sql := range []string{
		"INSERT INTO states VALUES (1, 'a', '2026-03-02', 'live', '')",
		"INSERT INTO job_facts VALUES (1, 1.5, 0, 'started', '', '')",
	} {
		if err := s.ExecWriter(sql); !errors.Is(err, sqlite3.CONSTRAINT_DATATYPE) {
			t.Errorf("%s: %v", sql, err)
		}
	}
}
