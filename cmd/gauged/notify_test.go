package main

import (
	"net"
	"strings"
	"testing"
	"time"
)

// TestServiceManagerIsTold listens as a service manager does.
func TestServiceManagerIsTold(t *testing.T) {
	tr := newTrial(t, socket)
	manager, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: tr.path("manager"), Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	defer manager.Close()
	t.Setenv("NOTIFY_SOCKET", tr.path("manager"))
	tr.start()
	tr.stop()
	var told []string
	for len(told) < 2 {
		buffer := make([]byte, 256)
		if err := manager.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
			t.Fatal(err)
		}
		n, err := manager.Read(buffer)
		if err != nil {
			t.Fatalf("told so far %q: %v", told, err)
		}
		told = append(told, string(buffer[:n]))
	}
	if got := strings.Join(told, " "); got != "READY=1 STOPPING=1" {
		t.Errorf("told %q", got)
	}
}
