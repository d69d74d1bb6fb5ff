package server

import (
	"context"
	"os/user"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/emptypb"

	"gauged/internal/access"
)

// TestRefusedBeforeAnythingIsRead: who may not make a call is told so, with the reason, before
// a byte of the request has come. So half sent requests of anybody take no memory.
func TestRefusedBeforeAnythingIsRead(t *testing.T) {
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	r := newClosedRig(t, access.Rules{Users: map[string]access.Grant{me.Username: {}}})
	_, reader := r.token(access.RoleReader)
	asked := 0
	for service, info := range r.closed.grpc.GetServiceInfo() {
		for _, m := range info.Methods {
			method := "/" + service + "/" + m.Name
			need, _ := access.Needs(access.Call(method))
			for who, as := range map[string]struct {
				ctx  context.Context
				role access.Role
				code codes.Code
			}{
				"nobody":   {t.Context(), access.RoleNone, codes.Unauthenticated},
				"a reader": {showing(t.Context(), reader), access.RoleReader, codes.PermissionDenied},
			} {
				if as.role.Has(need.Right) {
					continue
				}
				asked++
				ctx, cancel := context.WithTimeout(as.ctx, 10*time.Second)
				stream, err := r.conn.NewStream(ctx, &grpc.StreamDesc{ClientStreams: true, ServerStreams: true}, method)
				if err == nil {
					err = stream.RecvMsg(&emptypb.Empty{})
				}
				cancel()
				if st := status.Convert(err); st.Code() != as.code || len(st.Details()) == 0 {
					t.Fatalf("%s by %s, who has sent nothing yet: %v", method, who, err)
				}
			}
		}
	}
	if asked < 80 {
		t.Errorf("only %d were asked", asked)
	}
}
