package guard

import (
	"net/http"
	"strconv"
	"time"

	"gauged/internal/gauge"
)

// stillMeant is how old the last sign of life may be that the sender of a form heard:
// a little more than after which a page says that it has no connection.
const stillMeant = 2500 * time.Millisecond

// Late refuses a form that waited somewhere on its way, in a daemon that hung or a
// network that was cut: nobody means it any more. now counts the signs of life, in
// milliseconds; a form that a script sends names the last one that it heard.
func Late(r *http.Request, now int64) error {
	text := r.Header.Get("X-Heard")
	if text == "" {
		return nil // of no script, or of a page without a stream
	}
	heard, err := strconv.ParseInt(text, 10, 64)
	if err != nil || heard > now || now-heard > stillMeant.Milliseconds() {
		return gauge.Refused("refusal.page.late")
	}
	return nil
}
