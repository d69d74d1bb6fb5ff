package signin

import (
	"net/http"
	"net/url"

	"gauged/internal/page/memory"
)

// lookField is the page that somebody looks at once, who is not signed in on the device: who
// is signed in there may not see it.
const lookField = "look"

// signIn is the way on which somebody signs in.
const signIn = "POST /who"

// signsIn reports whether somebody who has proven who they are works on the device from now
// on: they sign in, or nobody was there and nothing is signed.
func (v *visit) signsIn() bool {
	if v.here == "" {
		return !v.need.Proof
	}
	return v.way.Name == signIn && v.r.PostForm.Get(lookField) == ""
}

// glimpse is the request for the page that is looked at once; nil: none is.
func (v *visit) glimpse() *http.Request {
	at := v.r.PostForm.Get(lookField)
	if v.way.Name != signIn || !v.proven || v.here == "" || at == "" {
		return nil
	}
	to, err := url.Parse(memory.OwnPath(at))
	if err != nil {
		return nil
	}
	r := v.r.Clone(v.r.Context())
	r.Method, r.URL, r.RequestURI = http.MethodGet, to, to.RequestURI()
	r.Body, r.ContentLength, r.Form, r.PostForm = http.NoBody, 0, nil, nil
	r.Header.Del("Content-Type")
	return r
}
