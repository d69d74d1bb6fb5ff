package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/grpc-ecosystem/grpc-gateway/v2/utilities"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/gauge"
)

// call makes the call that a path stands for.
func (s *site) call(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet {
		s.read(w, r)
		return
	}
	body, err := bodyOf(w, r)
	if err != nil {
		refuse(w, r, err)
		return
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	s.calls.ServeHTTP(w, r.WithContext(withID(r.Context(), r.Header.Get("Idempotency-Key"))))
}

// read answers what changes nothing, with a tag of what it answers. Who has that already
// is told so.
func (s *site) read(w http.ResponseWriter, r *http.Request) {
	answer := &kept{header: w.Header(), status: http.StatusOK}
	s.calls.ServeHTTP(answer, r)
	if answer.status == http.StatusOK {
		sum := sha256.Sum256(answer.body.Bytes())
		tag := `"` + base64.RawURLEncoding.EncodeToString(sum[:16]) + `"`
		w.Header().Set("ETag", tag)
		w.Header().Set("Cache-Control", "private, no-cache") // kept, and asked for each time whether it still holds
		if has(r.Header.Get("If-None-Match"), tag) {
			w.Header().Del("Content-Type")
			w.WriteHeader(http.StatusNotModified)
			return
		}
	}
	w.Header().Set("Content-Length", strconv.Itoa(answer.body.Len()))
	w.WriteHeader(answer.status)
	_, _ = w.Write(answer.body.Bytes())
}

// has reports whether a list of tags has one.
func has(list, tag string) bool {
	for one := range strings.SplitSeq(list, ",") {
		if one = strings.TrimPrefix(strings.TrimSpace(one), "W/"); one == tag || one == "*" {
			return true
		}
	}
	return false
}

// kept is an answer before it is sent.
type kept struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (k *kept) Header() http.Header         { return k.header }
func (k *kept) WriteHeader(status int)      { k.status = status }
func (k *kept) Write(b []byte) (int, error) { return k.body.Write(b) }

// bodyOf reads the body of a request, which is JSON of at most mostBody.
func bodyOf(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostBody))
	if large := (*http.MaxBytesError)(nil); errors.As(err, &large) {
		return nil, &httpError{http.StatusRequestEntityTooLarge, gauge.Say("refusal.http.too-large", gauge.Count("most", mostBody))}
	}
	if err != nil {
		return nil, &httpError{http.StatusBadRequest, gauge.Say("refusal.http.broken-off")}
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); len(body) > 0 && (err != nil || kind != "application/json") {
		return nil, &httpError{http.StatusUnsupportedMediaType, gauge.Say("refusal.http.no-json", gauge.Text("type", r.Header.Get("Content-Type")))}
	}
	return body, nil
}

type idKey struct{}

// withID is the context of a request with the id under which it is made; empty: none.
func withID(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, idKey{}, id)
}

// identified is a call with the id of its context as request_id, where it has that field
// and says none itself.
func identified(ctx context.Context, method string, request, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, o ...grpc.CallOption) error {
	id, _ := ctx.Value(idKey{}).(string)
	m, ok := request.(proto.Message)
	if ok && id != "" {
		r := m.ProtoReflect()
		if f := r.Descriptor().Fields().ByName("request_id"); f != nil && !r.Has(f) {
			r.Set(f, protoreflect.ValueOfString(id))
		}
	}
	return call(ctx, method, request, answer, conn, o...)
}

// unmarshal reads a message. What cannot be read is the caller's to mend.
func unmarshal(body []byte, into proto.Message) error {
	if err := form.Unmarshal(body, into); err != nil {
		return unreadable(err.Error())
	}
	return nil
}

// unreadable is that a message, or the query of a request, is not as the contract has it.
func unreadable(why string) error {
	// The library varies the blank behind its name, so that nobody relies on its words.
	why = strings.TrimSpace(strings.TrimPrefix(why, "proto:"))
	return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.unreadable", gauge.Text("why", why))}
}

// query reads what a query says into a message, and refuses words that the message has no
// field for: a filter that is misspelt would else show everything.
type query struct{ runtime.DefaultQueryParser }

// Parse is that of runtime.QueryParameterParser.
func (q *query) Parse(into proto.Message, values url.Values, filter *utilities.DoubleArray) error {
	fields := into.ProtoReflect().Descriptor().Fields()
	for name := range values {
		first, _, _ := strings.Cut(name, ".")
		if fields.ByName(protoreflect.Name(first)) == nil {
			return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.query", gauge.Text("name", name))}
		}
	}
	return q.DefaultQueryParser.Parse(into, values, filter)
}
