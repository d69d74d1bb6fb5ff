package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"strconv"
	"strings"

	"gauged/internal/gauge"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// call makes the call that a path stands for.
func (s *site) call(w http.ResponseWriter, r *http.Request) {
	r.Header.Del("Grpc-Timeout") // a word of gRPC, which nobody is told of here
	if r.Method == http.MethodGet {
		tagged(w, r, s.calls)
		return
	}
	s.calls.ServeHTTP(w, r.WithContext(withID(r.Context(), r.Header.Get(idempotencyKey))))
}

// tagged answers what changes nothing, with a tag of what it answers. Who has that already
// is told so.
func tagged(w http.ResponseWriter, r *http.Request, from http.Handler) {
	answer := &kept{header: w.Header(), status: http.StatusOK}
	from.ServeHTTP(answer, r)
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

type idKey struct{}

// withID is the context of a request with the id under which it is made; empty: none.
func withID(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, idKey{}, id)
}

// identified is a call under the id of its context.
func identified(ctx context.Context, method string, request, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, o ...grpc.CallOption) error {
	id, _ := ctx.Value(idKey{}).(string)
	if m, ok := request.(proto.Message); ok {
		if err := identify(m, id); err != nil {
			return err
		}
	}
	return call(ctx, method, request, answer, conn, o...)
}

// identify gives a request an id as its request_id, where it has that field. Another one
// that it says itself is refused.
func identify(m proto.Message, id string) error {
	r := m.ProtoReflect()
	f := r.Descriptor().Fields().ByName("request_id")
	if f == nil || id == "" {
		return nil
	}
	if said := r.Get(f).String(); said != "" && said != id {
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.two-keys")}
	}
	r.Set(f, protoreflect.ValueOfString(id))
	return nil
}
