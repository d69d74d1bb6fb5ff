package signin

import (
	"context"
	"net/http"

	"gauged/internal/access"
	"gauged/internal/page/memory"
)

// Signer is under whose name a form is sent.
type Signer struct {
	Closed bool   // the name is the one that was proven, and cannot be typed
	Name   string // that one, or who was it last on this device; empty: nobody
}

// SignerOf returns who sends the forms of a page that is asked for.
func SignerOf(r *http.Request) Signer {
	if caller, known := access.From(r.Context()); known && caller.Door != access.DoorOpen {
		if here, ok := r.Context().Value(hereKey{}).(string); ok && r.Method == http.MethodGet {
			return Signer{Closed: true, Name: here}
		}
		return Signer{Closed: true, Name: caller.Name}
	}
	return Signer{Name: memory.Person(r)}
}

// hereKey is under which a request knows who is signed in on its device: where somebody else
// looks at one page, the page still says that.
type hereKey struct{}

func withHere(ctx context.Context, here string) context.Context {
	if here == "" {
		return ctx
	}
	return context.WithValue(ctx, hereKey{}, here)
}
