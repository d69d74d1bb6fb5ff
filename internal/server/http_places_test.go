package server

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"gauged/api"
	"gauged/internal/station"
)

// TestTheDocumentIsServed: what the other answers refer to is there, and is what we keep.
func TestTheDocumentIsServed(t *testing.T) {
	h := serveHTTP(t, newRig(t).server, anyone)
	if a := h.ask(http.MethodGet, "/v1/openapi.json", ""); a.status != http.StatusOK || a.body != string(api.OpenAPI) {
		t.Errorf("%d, %d bytes of %d", a.status, len(a.body), len(api.OpenAPI))
	}
}

// TestSlowReadersHoldUpThemselves: who asks for much and reads nothing has few answers in
// memory, and another peer is answered meanwhile.
func TestSlowReadersHoldUpThemselves(t *testing.T) {
	r := newRig(t)
	for n := range 1500 {
		r.Report(longReading(n))
	}
	r.eventually("the readings are stored", func() bool { return r.Newest() >= 1500 })
	h := serveHTTP(t, r.server, anyone)
	at := strings.TrimPrefix(h.url, "http://")
	from := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, 2)}}
	const many = 12
	var conns []net.Conn
	for range many {
		c, err := from.Dial("tcp", at)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		if err := c.(*net.TCPConn).SetReadBuffer(1024); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(c, "GET /v1/history/readings?page_size=10000 HTTP/1.1\r\nHost: localhost\r\n\r\n")
		conns = append(conns, c)
	}
	begun := make(chan int, many)
	for i, c := range conns {
		go func() {
			if _, err := io.ReadFull(c, make([]byte, 1)); err == nil {
				begun <- i
			}
		}()
	}
	for range 2 {
		<-begun
	}
	if a := h.ask(http.MethodGet, "/v1/server", ""); a.status != http.StatusOK {
		t.Errorf("another peer: %d %s", a.status, a.body)
	}
	select {
	case i := <-begun:
		t.Errorf("connection %d is answered beside two others of its peer", i)
	case <-time.After(300 * time.Millisecond): // the answers are large, so that they do not end by themselves
	}
	for _, c := range conns[:2] {
		c.Close()
	}
	<-begun
}

// longReading has a frame of 4000 bytes.
func longReading(n int) station.Report {
	long := *reading("line", "1.25")
	long.Raw = bytes.Repeat([]byte{byte('a' + n%26)}, 4000)
	return station.Report{Reading: &long}
}
