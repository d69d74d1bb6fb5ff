package page

import (
	"strconv"
	"time"

	"gauged/internal/gauge"
)

// uptime counts the signs of life that a stream gives, in milliseconds since the page
// began to be served. A form that a script sends names the last one that it heard.
func (p *Page) uptime() int64 { return time.Since(p.began).Milliseconds() }

// stillMeant is how old the last sign of life may be that the sender of a form heard.
const stillMeant = 5 * time.Second

// late refuses a form that waited somewhere on its way, in a daemon that hung or a
// network that was cut: nobody means it any more.
func (p *Page) late(r *request) error {
	text := r.Header.Get("X-Heard")
	if text == "" {
		return nil // of no script, or of a page without a stream
	}
	heard, err := strconv.ParseInt(text, 10, 64)
	if now := p.uptime(); err != nil || heard > now || now-heard > stillMeant.Milliseconds() {
		return gauge.Refused("refusal.page.late")
	}
	return nil
}
