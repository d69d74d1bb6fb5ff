package server

import (
	"context"
	"sync"

	"google.golang.org/grpc"

	"gauged/internal/access"
)

// Messages that are longer than shortMessage take several times their length while they are
// worked on, so that few of them are at once. Some wait; to the others it is said.
const (
	shortMessage = 64 << 10
	mostWaiting  = 2 * access.LongBodies
)

// longMessages are the places of long messages.
type longMessages struct{ working, waiting chan struct{} }

func newLongMessages() *longMessages {
	return &longMessages{make(chan struct{}, access.LongBodies), make(chan struct{}, mostWaiting)}
}

// place is where a message is read into. It has a place among the long ones if it is one.
type place struct {
	into any
	ctx  context.Context
	free func() // nil: it has none
}

// take takes a place, and waits for one where only few others do. It reports whether there
// was one.
func (p *place) take(of *longMessages) bool {
	if p.free != nil {
		return true
	}
	select {
	case of.waiting <- struct{}{}:
		defer func() { <-of.waiting }()
	default:
		return false
	}
	select {
	case of.working <- struct{}{}:
		p.free = sync.OnceFunc(func() { <-of.working })
		return true
	case <-p.ctx.Done():
		return false
	}
}

// leave gives the place back.
func (p *place) leave() {
	if p.free != nil {
		p.free()
	}
}

// holding registers services whose calls hold the place of their request until they are
// answered.
type holding struct{ grpc.ServiceRegistrar }

// RegisterService registers a service.
func (h holding) RegisterService(d *grpc.ServiceDesc, service any) {
	held := *d
	held.Methods = make([]grpc.MethodDesc, len(d.Methods))
	for i, m := range d.Methods {
		held.Methods[i] = grpc.MethodDesc{MethodName: m.MethodName, Handler: func(service any, ctx context.Context, read func(any) error, intercept grpc.UnaryServerInterceptor) (any, error) {
			p := &place{ctx: ctx}
			defer p.leave()
			return m.Handler(service, ctx, func(into any) error {
				p.into = into
				return read(p)
			}, intercept)
		}}
	}
	h.ServiceRegistrar.RegisterService(&held, service)
}
