package page

import (
	"errors"
	"net/http"
	"time"

	"gauged/internal/page/events"
	"gauged/internal/words"
)

// streamTick is how often a stream sends something although nothing changed: ages in words,
// and a sign of life.
const streamTick = 500 * time.Millisecond

// follow calls show at once, after each change of the station and at each tick,
// until the request ends or show fails. Both ends are usual: the page was left.
func (p *Page) follow(r *request, s *events.Stream, show func() error) error {
	ctx, l := r.Context(), r.words.Language()
	tick := time.NewTicker(streamTick)
	defer tick.Stop()
	var said time.Time // when it last gave a sign of life; what a form is sent with is known from the beginning
	for {
		changed := p.o.Station.Changed()
		if err := errors.Join(show(), p.troubles(s, l)); err != nil {
			return err
		}
		// A gauge that never rests wakes this as often as the tick does: the sign of life does
		// not stand back for it.
		if time.Since(said) >= streamTick/2 {
			said = time.Now()
			if err := s.Event("alive", 0, p.uptime()); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(s.Rest):
		}
		select {
		case <-ctx.Done():
			return nil
		case <-changed:
		case <-tick.C:
		}
	}
}

// troubles says what is wrong with the station, and takes it back when it is over.
func (p *Page) troubles(s *events.Stream, l words.Language) error {
	html, err := p.region(l, "start", "troubles", p.o.Station.Troubles())
	if err != nil {
		return err
	}
	return s.Regions(0, map[string]string{"troubles": html})
}

// streamTroubles is the stream of a page that has none of its own.
func (p *Page) streamTroubles(w http.ResponseWriter, r *request) error {
	return p.follow(r, events.New(w, r.Request), func() error { return nil })
}
