//go:build page

package pagetest

import (
	"syscall"
	"testing"
)

// TestDaemonGone: the page says that the connection is lost and, when the daemon
// is back, shows what is true then without being loaded again.
func TestDaemonGone(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.open("/")
	s.shows("#open", "No job is open.")
	s.until(`document.querySelector("#lost").hidden`)
	value[bool](s, `window.sameDocument = true`)

	s.refusals(true)
	b.stop(syscall.SIGKILL)
	s.there("#lost")
	s.shows("#lost", "Connection to the daemon lost")
	s.look("connection-lost")
	b.start()
	s.until(`document.querySelector("#lost").hidden`)
	s.refusals(false)

	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417")
	s.shows("#open", "L2-0417")
	s.until(`window.sameDocument`)
}

// TestTwoScreens: what one screen does is on the other.
func TestTwoScreensOnTheStart(t *testing.T) {
	b := newBench(t)
	first, second := b.newScreen("en"), b.newScreen("de")
	for _, s := range []*screen{first, second} {
		s.open("/")
	}
	second.shows("#open", "Kein Auftrag ist offen.")
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0418")
	first.shows("#open", "L2-0418")
	second.shows("#open", "L2-0418")
}
