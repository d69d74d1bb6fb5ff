package app

import "testing"

// TestBy: whoever is named goes first, then who the environment says, then the login.
func TestBy(t *testing.T) {
	for _, c := range []struct {
		named, by, logname, user, want string
	}{
		{"J. Mercer", "bench", "root", "root", "J. Mercer"},
		{"", "bench", "root", "root", "bench"},
		{"", "", "mercer", "root", "mercer"},
		{"", "", "", "mercer", "mercer"},
		{"", "", "", "", ""},
	} {
		a := &App{Getenv: func(name string) string {
			return map[string]string{"GAUGECTL_BY": c.by, "LOGNAME": c.logname, "USER": c.user}[name]
		}}
		if got := a.By(c.named); got != c.want {
			t.Errorf("%+v: %q", c, got)
		}
	}
}
