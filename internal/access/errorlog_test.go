package access

import (
	"bytes"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

// TestErrorLogIsThinned: a flood of connections writes 30 lines, and the first line after
// that minute is preceded by the count of those that were left out.
func TestErrorLogIsThinned(t *testing.T) {
	var out bytes.Buffer
	h := &thinned{Handler: slog.NewTextHandler(&out, nil)}
	at := time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)
	line := func(after time.Duration) {
		if err := h.Handle(t.Context(), slog.NewRecord(at.Add(after), slog.LevelWarn, "TLS handshake error", 0)); err != nil {
			t.Fatal(err)
		}
	}
	for range 1000 {
		line(time.Second)
	}
	if n := strings.Count(out.String(), "\n"); n != 30 || strings.Count(out.String(), "more=") != 1 {
		t.Errorf("%d lines of 1000:\n%s", n, out.String())
	}
	out.Reset()
	line(time.Minute + time.Second)
	line(time.Minute + 2*time.Second)
	if got := out.String(); strings.Count(got, "\n") != 3 || !strings.Contains(got, "left out of the log\" count=970\n") {
		t.Errorf("after the minute:\n%s", got)
	}
	out.Reset()
	line(-time.Hour) // the clock was set back
	if strings.Count(out.String(), "\n") != 1 {
		t.Errorf("with the clock set back:\n%s", out.String())
	}
}

// TestPlainConnectionsToTLS: who speaks in the clear to a port with TLS writes no more lines
// than that, whatever they do.
func TestPlainConnectionsToTLS(t *testing.T) {
	secure, err := Secured(TLS{Own: true, Dir: t.TempDir()}, time.Now, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	var out bytes.Buffer
	server := &http.Server{ReadHeaderTimeout: time.Second, TLSConfig: secure.Config("http/1.1"), ErrorLog: ErrorLog(slog.New(slog.NewTextHandler(&out, nil)), slog.LevelWarn)}
	done := make(chan struct{})
	go func() { defer close(done); _ = server.ServeTLS(l, "", "") }()
	for range 60 {
		conn, err := net.Dial("tcp", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(conn, "GET / HTTP/1.0\r\n\r\n"); err != nil {
			t.Fatal(err)
		}
		if answer, err := io.ReadAll(conn); err != nil || len(answer) == 0 { // it has answered, so it has logged
			t.Fatalf("%q, %v", answer, err)
		}
		_ = conn.Close()
	}
	_ = server.Close()
	<-done
	if n := strings.Count(out.String(), "TLS handshake error"); n == 0 || n > 30 {
		t.Errorf("%d lines of 60 connections", n)
	}
}
