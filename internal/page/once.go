package page

import (
	"errors"
	"net/http"

	"gauged/internal/gauge"
	"gauged/internal/page/guard"
	"gauged/internal/station"
)

// errSent says that a form was sent before, with other entries.
var errSent = gauge.Refused("refusal.page.sent")

// form makes a handler of a form, whose texts are tidied. One with a field request is
// carried out once: sent again, as after a lost answer, it leads to what it did.
func (p *Page) form(f func(http.ResponseWriter, *request) error) http.Handler {
	return p.handle(func(w http.ResponseWriter, r *request) error {
		if err := guard.Tidy(r.Request); err != nil {
			return err
		}
		r.Request = guard.Once(r.Request)
		err := p.o.Station.Repeated(r.Context())
		if err == nil {
			err = f(w, r)
		}
		if before := (*station.RepeatedError)(nil); errors.As(err, &before) {
			to, err := guard.Led(r.Context(), p.o.Station, before.Request)
			if err != nil {
				return err
			}
			return r.done(w, to)
		}
		if refused := (*gauge.Refusal)(nil); errors.As(err, &refused) && refused.Message.Code == "refusal.request.other" {
			return errSent
		}
		return err
	})
}
