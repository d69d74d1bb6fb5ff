package guard

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"html/template"
	"net/http"
	"slices"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/station"
)

// Tidy takes the blanks from both ends of each text of a form, and refuses what is no text
// that can be stored. The error is a refusal, or that the form cannot be read.
func Tidy(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return gauge.AsInput(err)
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

// Once returns the request as one that is carried out once, when its form has a field
// request: see station.Under.
func Once(r *http.Request) *http.Request {
	given := r.PostForm.Get("request")
	if given == "" {
		return r
	}
	id := sha256.Sum256([]byte(given)) // whatever was given, it is an id of a request, and none of a program's
	asked := sha256.Sum256([]byte(r.URL.Path + "\n" + r.PostForm.Encode()))
	return r.WithContext(station.Under(r.Context(), "page-"+hex.EncodeToString(id[:16]), hex.EncodeToString(asked[:])))
}

// Led is the address to which a request led that was carried out before.
func Led(ctx context.Context, s *station.Station, before gauge.Request) (string, error) {
	stored, err := s.StoredBy(ctx, before)
	if err != nil {
		return "", err
	}
	if stored.Job != nil {
		return "/jobs/" + strconv.FormatUint(stored.Job.ID, 10), nil
	}
	i := slices.IndexFunc(stored.Facts, func(f gauge.Fact) bool { return f.Gauge != nil })
	if i < 0 {
		return "/", nil
	}
	switch f := stored.Facts[i]; f.Gauge.Kind {
	case health.KindStudied:
		return "/studies/" + strconv.FormatUint(f.Seq, 10), nil
	case health.KindBegun:
		return "/gauges/" + f.Gauge.Gauge + "/check", nil
	default:
		return "/gauges/" + f.Gauge.Gauge, nil
	}
}

// Field is a field that makes a form one that is carried out once. It is another one each
// time: what a stream compares has an id that stays instead.
func Field() template.HTML {
	return template.HTML(`<input type="hidden" name="request" value="` + rand.Text() + `">`)
}
