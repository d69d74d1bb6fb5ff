package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/gauge"
	"gauged/internal/wire"
	"gauged/internal/words"
)

// Problem is why a request was not carried out (RFC 9457).
type Problem struct {
	Type   string `json:"type"`   // about:blank: it is the code that tells problems apart
	Title  string `json:"title"`  // the status in words
	Status int    `json:"status"` // of HTTP
	Detail string `json:"detail"` // what is wrong and what to do, in the language that was asked for
	Code   string `json:"code"`   // the reason in the contract's list of refusals
	// Arguments are what the detail speaks of, by name: see docs/refusals.md.
	Arguments map[string]string `json:"arguments,omitempty"`
	Problems  []Fault           `json:"problems,omitempty"` // where an input has several
}

// Fault is one problem of an input that has several.
type Fault struct {
	Place  string `json:"place,omitempty"` // a field of the request, or file:line:column
	Code   string `json:"code,omitempty"`
	Detail string `json:"detail"`
}

// httpError is a refusal of what only HTTP has.
type httpError struct {
	status  int
	message gauge.Message
}

func (e *httpError) Error() string       { return words.In(words.English).Tell(e.message) }
func (e *httpError) Tell() gauge.Message { return e.message }

// refuse answers a request that was not carried out.
func refuse(w http.ResponseWriter, r *http.Request, err error) {
	if own := (*httpError)(nil); errors.As(err, &own) {
		write(w, r, own.status, wire.Refusal(codes.InvalidArgument, own.message))
		return
	}
	st, ok := wire.StatusOf(err)
	if !ok {
		st = status.Convert(err)
	}
	write(w, r, statusOf(st.Code()), st)
}

// foreign answers what comes from another site, or under another name than the station's.
func foreign(w http.ResponseWriter, r *http.Request, code int, _ string) {
	what := "refusal.http.site"
	if code == http.StatusMisdirectedRequest {
		what = "refusal.http.host"
	}
	refuse(w, r, &httpError{code, gauge.Say(what)})
}

// failed answers a call that failed, or one whose request could not be read: then no
// refusal of the calls says so.
func failed(_ context.Context, _ *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, r *http.Request, err error) {
	if st := status.Convert(err); st.Code() == codes.InvalidArgument && len(st.Details()) == 0 {
		err = unreadable(st.Message())
	}
	refuse(w, r, err)
}

// misled answers who asks for a path that there is not, or not in this way.
func misled(_ context.Context, _ *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, r *http.Request, code int) {
	if code == http.StatusMethodNotAllowed || code == http.StatusNotImplemented {
		refuse(w, r, noMethod(r))
		return
	}
	refuse(w, r, &httpError{code, noPath(r).message})
}

// noPath is that there is nothing at a path, noMethod that there is nothing by this method.
func noPath(r *http.Request) *httpError {
	return &httpError{http.StatusNotFound, gauge.Say("refusal.http.no-path", pathOf(r))}
}

func noMethod(r *http.Request) *httpError {
	return &httpError{http.StatusMethodNotAllowed, gauge.Say("refusal.http.no-method", pathOf(r), gauge.Text("method", r.Method))}
}

func pathOf(r *http.Request) gauge.Arg {
	return gauge.Text("path", strings.ToValidUTF8(r.URL.Path, "?"))
}

// statusOf is the status of HTTP for a code of gRPC: what stands in the way of a request
// that is well formed is a conflict.
func statusOf(c codes.Code) int {
	if c == codes.FailedPrecondition {
		return http.StatusConflict
	}
	return runtime.HTTPStatusFromCode(c)
}

// write sends a problem.
func write(w http.ResponseWriter, r *http.Request, code int, st *status.Status) {
	p := problemOf(st, words.Preferred(r.Header.Get("Accept-Language")))
	p.Status, p.Title = code, http.StatusText(code)
	body, err := json.Marshal(p)
	if err != nil { // texts and a number can be written
		http.Error(w, p.Detail, code)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "application/problem+json")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Length", strconv.Itoa(len(body)+1))
	if code == http.StatusUnauthorized {
		h.Set("WWW-Authenticate", "Bearer")
	}
	w.WriteHeader(code)
	_, _ = w.Write(append(body, '\n'))
}

// problemOf is a status in a language.
func problemOf(st *status.Status, l words.Language) Problem {
	p := Problem{Type: "about:blank", Detail: st.Message()}
	if m, ok := wire.RefusalOf(st); ok {
		p.Detail = words.In(l).Tell(m)
	}
	for _, d := range st.Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			p.Code, p.Arguments = d.GetReason(), d.GetMetadata()
		case *errdetails.BadRequest:
			for _, v := range d.GetFieldViolations() {
				p.Problems = append(p.Problems, Fault{Place: v.GetField(), Code: v.GetReason(), Detail: v.GetDescription()})
			}
		}
	}
	return p
}
