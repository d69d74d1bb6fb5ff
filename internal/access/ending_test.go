package access

import (
	"fmt"
	"log/slog"
	"testing"
	"time"

	"gauged/internal/words"
)

// TestCertificatesThatEnd: the end of a given certificate is told a month before, that of the
// own authority a year before, since each device must trust another one then.
func TestCertificatesThatEnd(t *testing.T) {
	began := time.Now()
	now := began
	clock := func() time.Time { return now }
	dir := t.TempDir()
	own, err := Secured(TLS{Own: true, Dir: dir, Names: []string{"bench.example"}}, clock, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	certificate, key := client(t, dir, t.TempDir(), "given") // holds for an hour
	given, err := Secured(TLS{Certificate: certificate, Key: key}, clock, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		of    *Secure
		after time.Duration
		want  string
	}{
		{own, 0, "[]"},
		{own, authorityLife - 366*24*time.Hour, "[]"},
		{own, authorityLife - 364*24*time.Hour, "[trouble.authority.ends]"},
		{own, authorityLife + time.Hour, "[trouble.authority.ended]"},
		{given, -31 * 24 * time.Hour, "[]"},
		{given, -29 * 24 * time.Hour, "[trouble.certificate.ends]"},
		{given, 2 * time.Hour, "[trouble.certificate.ended]"},
	} {
		now = began.Add(x.after)
		var codes []string
		for _, m := range x.of.Troubles() {
			codes = append(codes, m.Code)
			if text := words.In(words.German).Tell(m); text == "" {
				t.Error(m.Code, "has no text")
			}
		}
		if got := fmt.Sprint(codes); got != x.want {
			t.Errorf("after %v: %s, want %s", x.after, got, x.want)
		}
	}
}
