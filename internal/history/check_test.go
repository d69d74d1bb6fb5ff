package history_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"gauged/internal/history"
)

// TestCheckFindsDamage does to a history what its triggers prevent.
func TestCheckFindsDamage(t *testing.T) {
	const unlock = "DROP TRIGGER readings_stay; DROP TRIGGER readings_keep; DROP TRIGGER files_keep; DROP TRIGGER states_stay; "
	tests := []struct{ name, sql, want string }{
		{"nothing", "", ""},
		{"fact missing", "DELETE FROM states", "read facts from history: the history is damaged: fact 1 is missing"},
		{
			"fact twice", "INSERT INTO states VALUES (3, 'a', 0, 'live', '')",
			"read facts from history: the history is damaged: there are two facts 3",
		},
		{
			"hole in the numbers of a gauge", "UPDATE readings SET number = 9 WHERE seq = 4",
			`check history: the history is damaged: fact 4: gauge "a" has reading 9 instead of 2`,
		},
		{
			"content changed", "UPDATE files SET content = x'00'",
			"check history: the history is damaged: fact 2: the content of the file does not have its hash",
		},
		{
			"unit unreadable", "UPDATE readings SET unit = 'ell' WHERE seq = 3",
			`read facts from history: fact 3: the history is damaged: unknown unit "ell": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number`,
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "history.db")
			s := openPlain(t, path)
			mustAppend(t, s, mixed(1)...)
			closeStore(t, s)
			execSQL(t, path, unlock+test.sql)
			s = openPlain(t, path)
			defer closeStore(t, s)
			err := s.Check(t.Context())
			if test.want == "" {
				if err != nil {
					t.Error(err)
				}
				return
			}
			if !errors.Is(err, history.ErrDamaged) || err.Error() != test.want {
				t.Errorf("got  %v\nwant %s", err, test.want)
			}
		})
	}
}

// TestCheckFindsBrokenStructure overwrites pages in the middle of the file.
func TestCheckFindsBrokenStructure(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s := openPlain(t, path)
	mustAppend(t, s, readings(0, 2000)...)
	closeStore(t, s)
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	middle := len(content) * 2 / 3 / 4096 * 4096
	clear(content[middle : middle+3*4096])
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	s = openPlain(t, path)
	defer closeStore(t, s)
	if err := s.Check(t.Context()); !errors.Is(err, history.ErrDamaged) {
		t.Errorf("Check = %v, want ErrDamaged", err)
	}
	if _, err := s.Facts(t.Context(), 0, history.MaxPage); !errors.Is(err, history.ErrDamaged) {
		t.Errorf("Facts = %v, want ErrDamaged", err)
	}
}

// openPlain opens a history without the check at the end of the test.
func openPlain(tb testing.TB, path string) *history.Store {
	tb.Helper()
	s, err := history.Open(tb.Context(), path)
	if err != nil {
		tb.Fatal(err)
	}
	return s
}
