package client

import (
	"context"
	"crypto/rand"
	"encoding/hex"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// mostTries is how often a call is made whose answer is lost.
const mostTries = 5

// repeating gives each call that stores an id, and makes it again under the same id when
// its answer was lost: the daemon stores nothing twice. A call that was never sent fails at once.
func repeating(ctx context.Context, method string, request, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, options ...grpc.CallOption) error {
	if !named(request) {
		return call(ctx, method, request, answer, conn, options...)
	}
	for try := 1; ; try++ {
		var sent peer.Peer
		err := call(ctx, method, request, answer, conn, append(options[:len(options):len(options)], grpc.Peer(&sent), grpc.WaitForReady(try > 1))...)
		if status.Code(err) != codes.Unavailable || sent.Addr == nil || try == mostTries {
			return err
		}
	}
}

// named gives a request of the contract an id, and reports whether it stores something.
func named(request any) bool {
	m, ok := request.(proto.Message)
	if !ok {
		return false
	}
	if trial, ok := request.(interface{ GetValidateOnly() bool }); ok && trial.GetValidateOnly() {
		return false
	}
	field := m.ProtoReflect().Descriptor().Fields().ByName("request_id")
	if field == nil {
		return false
	}
	if !m.ProtoReflect().Has(field) {
		id := make([]byte, 16)
		_, _ = rand.Read(id) // it ends the program rather than fail
		m.ProtoReflect().Set(field, protoreflect.ValueOfString(hex.EncodeToString(id)))
	}
	return true
}
