package page

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/station"
)

// errSent says that a form was sent before, with other entries.
var errSent = gauge.Refused("refusal.page.sent")

// form makes a handler of a form. Its texts come without the blanks around them, and a
// control character in one is refused. A form with a field request is carried out once:
// sent again, as after a lost answer, it leads to what it did.
func (p *Page) form(f func(http.ResponseWriter, *request) error) http.Handler {
	return p.handle(func(w http.ResponseWriter, r *request) error {
		if err := r.tidy(); err != nil {
			return err
		}
		err := p.once(r)
		if err == nil {
			err = f(w, r)
		}
		if before := (*station.RepeatedError)(nil); errors.As(err, &before) {
			to, err := p.didBefore(r, before.Request)
			if err != nil {
				return err
			}
			return r.done(w, to)
		}
		if gauge.Told(err).Code == "refusal.request.other" {
			return errSent
		}
		return err
	})
}

// tidy takes the blanks from both ends of each text of a form.
func (r *request) tidy() error {
	if err := r.ParseForm(); err != nil {
		return &problem{http.StatusBadRequest, err}
	}
	for name, values := range r.PostForm {
		for i := range values {
			var err error
			if values[i], err = gauge.Tidied(name, values[i]); err != nil {
				return err
			}
		}
		r.Form[name] = values
	}
	return nil
}

// once takes up the id of a form.
func (p *Page) once(r *request) error {
	given := r.PostForm.Get("request")
	if given == "" {
		return nil
	}
	id := sha256.Sum256([]byte(given)) // whatever was given, it is an id of a request, and none of a program's
	asked := sha256.Sum256([]byte(r.URL.Path + "\n" + r.PostForm.Encode()))
	r.Request = r.WithContext(station.Under(r.Context(), "page-"+hex.EncodeToString(id[:16]), hex.EncodeToString(asked[:])))
	return p.o.Station.Repeated(r.Context())
}

// didBefore is where a form led that was carried out before.
func (p *Page) didBefore(r *request, before gauge.Request) (string, error) {
	stored, err := p.o.Station.StoredBy(r.Context(), before)
	if err != nil {
		return "", err
	}
	if stored.Job != nil {
		return "/jobs/" + strconv.FormatUint(stored.Job.ID, 10), nil
	}
	i := slices.IndexFunc(stored.Facts, func(f gauge.Fact) bool { return f.Gauge != nil })
	if i < 0 {
		return "", fmt.Errorf("request %s stored nothing of a job or a gauge", before.ID)
	}
	switch f := stored.Facts[i]; f.Gauge.Kind {
	case health.KindStudied:
		return studyAddress(f.Seq), nil
	case health.KindBegun:
		return "/gauges/" + f.Gauge.Gauge + "/check", nil
	default:
		return "/gauges/" + f.Gauge.Gauge, nil
	}
}

// onceField is a field that makes a form one that is carried out once. It is another one
// each time: what a stream compares has an id that stays instead.
func onceField() template.HTML {
	return template.HTML(`<input type="hidden" name="request" value="` + rand.Text() + `">`)
}
