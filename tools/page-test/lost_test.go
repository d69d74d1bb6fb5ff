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
	s.shows("#open", "No open jobs.")
	s.until(`document.querySelector("#lost").hidden`)
	value[bool](s, `window.sameDocument = true`)

	s.refusals(true)
	b.stop(syscall.SIGKILL)
	s.there("#lost")
	s.shows("#lost", "No connection to the station")
	s.look("connection-lost")
	b.start()
	s.until(`document.querySelector("#lost").hidden`)
	s.refusals(false)

	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417")
	s.shows("#open", "L2-0417")
	s.until(`window.sameDocument`)
}

// TestSilentConnection: a connection over which nothing comes, although nobody
// has closed it, is lost, too.
func TestSilentConnection(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 0.123")
	s := b.newScreen("en")
	cable := s.onCable()
	s.open("/gauges/indicator")
	s.shows("#now", "0.123")
	again := cable.still()
	t.Cleanup(again)
	s.there("#lost")
	b.hands("set indicator 0.456")
	again()
	s.shows("#now", "0.456")
	s.until(`document.querySelector("#lost").hidden`)
}

// TestTwoScreensOnTheStart: what happens is on each screen, and on one that was
// cut off meanwhile as soon as it is connected again.
func TestTwoScreensOnTheStart(t *testing.T) {
	b := newBench(t)
	first, second := b.newScreen("en"), b.newScreen("de")
	cable := second.onCable()
	for _, s := range []*screen{first, second} {
		s.open("/")
	}
	second.shows("#open", "Keine offenen Aufträge.")
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0418")
	first.shows("#open", "L2-0418")
	second.shows("#open", "L2-0418")

	second.refusals(true)
	cable.cut()
	second.there("#lost")
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0419")
	first.shows("#open", "L2-0419")
	cable.mend()
	second.shows("#open", "L2-0418", "L2-0419")
	second.until(`document.querySelector("#lost").hidden`)
}
