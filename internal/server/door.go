package server

import (
	"context"
	"crypto/tls"
	"errors"
	"net"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/tap"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// door sees of each connection who is at its other end: the user at a unix socket, the
// certificate of a connection with TLS.
type door struct {
	guard *access.Guard
	half  *halfSent
}

// at is who is at the other end of a connection, as far as the connection tells.
type at struct {
	credentials.CommonAuthInfo
	caller access.Caller
	err    error
	inside bool   // it is this process, which says of each call by whom it is made
	peer   string // as connections are told apart, see access.PeerOf
}

// AuthType names how it is known.
func (at) AuthType() string { return "gauged" }

// ServerHandshake finds out who is at the other end. Who is nobody by that can still show
// a token.
func (d door) ServerHandshake(conn net.Conn) (net.Conn, credentials.AuthInfo, error) {
	who := at{err: gauge.UnknownCaller("refusal.access.nobody")}
	switch c := conn.(type) {
	case *tls.Conn:
		if err := c.Handshake(); err != nil {
			return nil, nil, errors.Join(err, conn.Close())
		}
		who.SecurityLevel = credentials.PrivacyAndIntegrity
		if shown := c.ConnectionState().PeerCertificates; len(shown) > 0 {
			who.caller, who.err = d.guard.Certificate(shown[0])
		}
	default:
		switch conn.LocalAddr().Network() {
		case "unix":
			who.caller, who.err = d.guard.AtSocket(conn)
		case "bufconn":
			who.inside = true
			return conn, who, nil
		}
	}
	who.peer = access.PeerOf(conn)
	return d.half.watch(conn), who, nil
}

// ClientHandshake is for clients, which do not use this.
func (door) ClientHandshake(context.Context, string, net.Conn) (net.Conn, credentials.AuthInfo, error) {
	return nil, nil, errors.ErrUnsupported
}

// Info says nothing of the protocol.
func (door) Info() credentials.ProtocolInfo { return credentials.ProtocolInfo{} }

// Clone returns the same, which has no state.
func (d door) Clone() credentials.TransportCredentials { return d }

// OverrideServerName is for clients.
func (door) OverrideServerName(string) error { return errors.ErrUnsupported }

// knock refuses who may not make a call, or has too many open, before anything that they
// send is read: else half sent requests of anybody fill the memory. It does not wait, as its
// connection does for it.
func (s *Server) knock(ctx context.Context, info *tap.Info) (_ context.Context, err error) {
	defer func() { err = s.outcome(ctx, info.FullMethodName, recover(), err) }()
	if err := s.mayKnock(ctx, info); err != nil {
		return ctx, err
	}
	if who := comesFrom(ctx); !who.inside {
		if !s.calls.enter(who.peer) {
			return ctx, refused(codes.ResourceExhausted, gauge.Say("refusal.request.too-many-calls"))
		}
		context.AfterFunc(ctx, func() { s.calls.leave(who.peer) })
	}
	return ctx, nil
}

// mayKnock refuses who may not make a call.
func (s *Server) mayKnock(ctx context.Context, info *tap.Info) error {
	way := access.Call(info.FullMethodName)
	need, listed := access.Needs(way)
	if !listed || need.Right == access.RightAnyones {
		return nil // there is no such call, or whoever it is
	}
	caller, err := s.caller(ctx)
	if err == nil {
		err = caller.Allow(way)
	}
	if err != nil {
		why := err // as which it is kept, not as the status that is answered
		s.readers.Go(func() { s.refusedAt(ctx, caller, way, why) })
	}
	return err
}

// refusedAt keeps that a caller was refused.
func (s *Server) refusedAt(ctx context.Context, caller access.Caller, way access.Way, why error) {
	remote := ""
	if p, ok := peer.FromContext(ctx); ok && p.Addr != nil {
		remote = p.Addr.String()
	}
	s.guard.Refused(access.Subject(caller, remote), way, why)
}

// admit finds out who makes a call, and refuses who may not make it.
func (s *Server) admit(ctx context.Context, method string) (context.Context, access.Caller, error) {
	caller, err := s.caller(ctx)
	if need, ok := access.Needs(access.Call(method)); ok && need.Right == access.RightAnyones {
		return access.With(ctx, caller), caller, nil // whoever it is
	}
	if err == nil {
		err = caller.Allow(access.Call(method))
	}
	if err != nil {
		s.refusedAt(ctx, caller, access.Call(method), err)
	}
	return access.With(ctx, caller), caller, err
}

// comesFrom is who is at the other end of the connection of a call.
func comesFrom(ctx context.Context) at {
	if p, ok := peer.FromContext(ctx); ok {
		if info, ok := p.AuthInfo.(at); ok {
			return info
		}
	}
	return at{err: gauge.UnknownCaller("refusal.access.nobody")}
}

// caller finds out who makes a call: by the token that it shows, or by its connection.
func (s *Server) caller(ctx context.Context) (access.Caller, error) {
	who := comesFrom(ctx)
	switch {
	case who.inside:
		return saidInside(ctx)
	case s.guard.Open():
		return access.Nobody(), nil
	}
	if shown := metadata.ValueFromIncomingContext(ctx, "authorization"); len(shown) > 0 {
		return s.guard.Shown(shown)
	}
	return who.caller, who.err
}

// inOwnName sees to it that what is done is done in the name of the caller: the field by of
// a request is completed, and another name than the caller's refused. What a request tells
// of others, such as who once made a check, lies deeper in it and stays. A call that only
// looks signs nothing: its by is whose things are asked for, and stays, too.
func inOwnName(ctx context.Context, method string, request any) error {
	if !signs(method) {
		return nil
	}
	m, ok := request.(proto.Message)
	if !ok {
		return nil
	}
	r := m.ProtoReflect()
	by := r.Descriptor().Fields().ByName("by")
	if by == nil || by.Kind() != protoreflect.StringKind {
		return nil
	}
	caller, _ := access.From(ctx)
	name, err := caller.As(r.Get(by).String())
	if err != nil {
		return err
	}
	if name != "" {
		r.Set(by, protoreflect.ValueOfString(name))
	}
	return nil
}

// signs reports whether what a call does is done in somebody's name: whatever is more than
// to look.
func signs(method string) bool {
	need, _ := access.Needs(access.Call(method))
	return need.Right != access.RightRead && need.Right != access.RightAnyones
}
