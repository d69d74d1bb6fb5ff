package server

import (
	"context"
	"errors"
	"os/user"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/known/emptypb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/gauge"
)

// roles are all roles, and none.
var roles = []access.Role{
	access.RoleNone, access.RoleReader, access.RoleStation, access.RoleTechnician, access.RoleQuality, access.RoleAdministrator,
}

// closedRig is a rig beside whose open server a closed one listens.
type closedRig struct {
	*rig
	closed *Server
	conn   *grpc.ClientConn // to the closed one
	later  atomic.Int64     // by how long the guard's clock has gone on
}

func newClosedRig(t *testing.T, rules access.Rules) *closedRig {
	t.Helper()
	r := &closedRig{rig: newRig(t)}
	guard := &access.Guard{Rules: rules, Register: r.Register, Now: func() time.Time { return time.Now().Add(time.Duration(r.later.Load())) }}
	socket := filepath.Join(filepath.Dir(r.socket), "c")
	l, err := access.ListenUnix(socket)
	if err != nil {
		t.Fatal(err)
	}
	r.closed, _ = serveWith(t, Options{Station: r.Station, Log: r.log.logger(), Guard: guard}, l)
	r.conn = dial(t, socket)
	return r
}

// token makes a token that holds for an hour.
func (r *closedRig) token(role access.Role, change ...func(*access.Token)) (id, secret string) {
	r.t.Helper()
	id, secret = access.NewSecret("gauged-token")
	token := access.Token{ID: id, Name: "press-" + role.String(), Role: role, Hash: access.HashOf(secret), Expires: time.Now().Add(time.Hour)}
	for _, c := range change {
		c(&token)
	}
	if err := r.ChangeAccess(r.t.Context(), access.MakeToken("root", token)); err != nil {
		r.t.Fatal(err)
	}
	return id, secret
}

// showing is a context whose calls show a token.
func showing(ctx context.Context, secret string) context.Context {
	return metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+secret)
}

// TestEveryMethodForEveryRole: each method that is served, by each door, for each role and
// for nobody, does what the table says; none is open that is not in it.
func TestEveryMethodForEveryRole(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	secrets := map[access.Role]string{}
	for _, role := range roles[1:] {
		_, secrets[role] = r.token(role)
	}
	doors := map[access.Door]func(access.Role) context.Context{
		access.DoorToken: func(role access.Role) context.Context {
			if role == access.RoleNone {
				return t.Context()
			}
			return metadata.NewIncomingContext(t.Context(), metadata.Pairs("authorization", "Bearer "+secrets[role]))
		},
		access.DoorSocket:      connected(t, access.DoorSocket),
		access.DoorCertificate: connected(t, access.DoorCertificate),
	}
	asked, open, seen := 0, 0, map[string]bool{}
	for service, info := range r.closed.grpc.GetServiceInfo() {
		for _, m := range info.Methods {
			method := "/" + service + "/" + m.Name
			seen[method] = true
			need, listed := access.Needs(access.Call(method))
			if !listed {
				t.Errorf("%s is not in the table", method)
			}
			for _, role := range roles {
				for at, ctx := range doors {
					asked++
					in := r.reaches(ctx(role), method, m)
					may := listed && (need.Right == access.RightAnyones || role.Has(need.Right))
					if in != may {
						t.Errorf("%s by %s as %q: came in %v, may %v", method, at, role, in, may)
					}
					if in && role == access.RoleNone && need.Right != access.RightAnyones {
						open++
					}
				}
			}
		}
	}
	for _, w := range access.Ways(access.PlaceCall) {
		if !seen[w.Name] && !strings.Contains(w.Name, "reflection") {
			t.Errorf("the table has %s, which is not served", w.Name)
		}
	}
	t.Logf("%d methods, %d roles with nobody, %d doors: %d asked, %d open by mistake", len(seen), len(roles), len(doors), asked, open)
	if asked < 900 {
		t.Errorf("only %d were asked", asked)
	}
}

// connected gives contexts of calls over a connection on which a caller is known.
func connected(t *testing.T, d access.Door) func(access.Role) context.Context {
	return func(role access.Role) context.Context {
		who := at{caller: access.Caller{Name: "somebody", Role: role, Door: d}}
		if role == access.RoleNone {
			who = at{err: gauge.Forbidden("refusal.access.user", gauge.Text("user", "nobody"))}
		}
		return peer.NewContext(t.Context(), &peer.Peer{AuthInfo: who})
	}
}

// reaches reports whether a call comes to the service.
func (r *closedRig) reaches(ctx context.Context, method string, m grpc.MethodInfo) (reached bool) {
	r.t.Helper()
	var err error
	if m.IsServerStream || m.IsClientStream {
		err = r.closed.stream(nil, &fakeStream{ctx: ctx}, &grpc.StreamServerInfo{FullMethod: method}, func(any, grpc.ServerStream) error {
			reached = true
			return nil
		})
	} else {
		_, err = r.closed.unary(ctx, &emptypb.Empty{}, &grpc.UnaryServerInfo{FullMethod: method}, func(ctx context.Context, _ any) (any, error) {
			reached = true
			return &emptypb.Empty{}, nil
		})
	}
	if code := status.Code(err); !reached && code != codes.PermissionDenied && code != codes.Unauthenticated {
		r.t.Errorf("%s: %v", method, err)
	}
	return reached
}

type fakeStream struct {
	grpc.ServerStream
	ctx context.Context
}

func (s *fakeStream) Context() context.Context { return s.ctx }

// TestMethodNotInTheTable: a method that the table does not have is refused, to
// administrators too.
func TestMethodNotInTheTable(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	if r.reaches(connected(t, access.DoorSocket)(access.RoleAdministrator), "/gauged.v1.JobService/Forget", grpc.MethodInfo{}) {
		t.Error("it was let in")
	}
}

// TestOwnNameOnly: what a request asks for is done in the name of who makes it.
func TestOwnNameOnly(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	_, secret := r.token(access.RoleTechnician)
	ctx := showing(t.Context(), secret)
	jobs := gaugedv1.NewJobServiceClient(r.conn)
	request := &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "A-1", By: "Quality Lead"}
	_, err := jobs.StartJob(ctx, request)
	wantStatus(t, err, codes.PermissionDenied, `this is done by press-technician, and cannot be signed by Quality Lead`)
	request.By = ""
	started, err := jobs.StartJob(ctx, request)
	if err != nil || started.GetJob().GetBy() != "press-technician" {
		t.Fatalf("%v, %v", started.GetJob().GetBy(), err)
	}
	_, err = gaugedv1.NewHealthServiceClient(r.conn).SetStanding(ctx, &gaugedv1.SetStandingRequest{GaugeId: "line"})
	wantStatus(t, err, codes.PermissionDenied, "press-technician has the role technician; this needs quality or administrator")
}

// TestEveryNameInARequest: the names that requests have in them are at their top, where
// they are held against the caller; of others tell only the two that are listed here.
func TestEveryNameInARequest(t *testing.T) {
	others := []string{"gauged.v1.IngestedReading.by", "gauged.v1.PastCheck.by"}
	top, deeper := 0, []string{}
	protoregistry.GlobalFiles.RangeFilesByPackage("gauged.v1", func(f protoreflect.FileDescriptor) bool {
		for i := range f.Services().Len() {
			for j := range f.Services().Get(i).Methods().Len() {
				in := f.Services().Get(i).Methods().Get(j).Input()
				eachField(in, map[protoreflect.FullName]bool{}, func(f protoreflect.FieldDescriptor) {
					switch {
					case f.Name() != "by" && !strings.HasSuffix(string(f.Name()), "_by"):
					case f.Name() == "by" && f.Parent() == in:
						top++
					default:
						deeper = append(deeper, string(f.FullName()))
					}
				})
			}
		}
		return true
	})
	slices.Sort(deeper)
	if deeper = slices.Compact(deeper); !slices.Equal(deeper, others) || top < 20 {
		t.Errorf("%d at the top, deeper %v", top, deeper)
	}
}

func eachField(m protoreflect.MessageDescriptor, seen map[protoreflect.FullName]bool, do func(protoreflect.FieldDescriptor)) {
	if seen[m.FullName()] {
		return
	}
	seen[m.FullName()] = true
	for i := range m.Fields().Len() {
		do(m.Fields().Get(i))
		if of := m.Fields().Get(i).Message(); of != nil {
			eachField(of, seen, do)
		}
	}
}

// TestTokensOverTheWire: a token that is unknown, has ended, is revoked or is none is
// refused with its reason; a stream ends when its token does.
func TestTokensOverTheWire(t *testing.T) {
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	r := newClosedRig(t, access.Rules{Users: map[string]access.Grant{me.Username: {}}})
	gauges := gaugedv1.NewGaugeServiceClient(r.conn)
	list := func(ctx context.Context) error {
		_, err := gauges.ListGauges(ctx, &gaugedv1.ListGaugesRequest{})
		return err
	}
	id, secret := r.token(access.RoleReader)
	if err := list(showing(t.Context(), secret)); err != nil {
		t.Fatal(err)
	}
	wantRefused(t, list(t.Context()), codes.Unauthenticated, "it is not known who calls")
	wantRefused(t, list(showing(t.Context(), secret[:len(secret)-1])), codes.Unauthenticated, "this token is not known here")
	wantRefused(t, list(metadata.AppendToOutgoingContext(t.Context(), "authorization", "Basic "+secret)), codes.Unauthenticated, "a call shows one token")
	wantRefused(t, list(showing(showing(t.Context(), secret), secret)), codes.Unauthenticated, "a call shows one token")

	watching, err := gauges.WatchReadings(showing(t.Context(), secret), &gaugedv1.WatchReadingsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	r.fill("program", 1)
	if _, err := watching.Recv(); err != nil {
		t.Fatal(err)
	}
	if err := r.ChangeAccess(t.Context(), access.RevokeToken("root", id)); err != nil {
		t.Fatal(err)
	}
	for err == nil { // nothing more is said on it
		_, err = watching.Recv()
	}
	wantRefused(t, err, codes.Unauthenticated, "token "+id+" of press-reader is revoked")

	_, ended := r.token(access.RoleReader)
	r.later.Store(int64(time.Hour))
	wantRefused(t, list(showing(t.Context(), ended)), codes.Unauthenticated, "has ended")
}

// TestUserAtTheSocket: who calls at the unix socket is known by their user, and has the
// role and the name that the configuration gives them.
func TestUserAtTheSocket(t *testing.T) {
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	for want, rules := range map[string]access.Rules{
		me.Username: {}, // who runs the daemon
		"Ada":       {Users: map[string]access.Grant{me.Username: {Role: access.RoleTechnician, Name: "Ada"}}},
	} {
		r := newClosedRig(t, rules)
		started, err := gaugedv1.NewJobServiceClient(r.conn).StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "A-1"})
		if err != nil || started.GetJob().GetBy() != want {
			t.Errorf("started by %q, %v; want %q", started.GetJob().GetBy(), err, want)
		}
	}
}

// TestNobodyWithoutAGuard: a server that was given no guard lets nobody in.
func TestNobodyWithoutAGuard(t *testing.T) {
	r := newRig(t)
	s := New(Options{Station: r.Station, Log: r.log.logger()})
	_, err := s.unary(t.Context(), &emptypb.Empty{}, &grpc.UnaryServerInfo{FullMethod: gaugedv1.JobService_ListJobs_FullMethodName}, func(context.Context, any) (any, error) {
		return nil, errors.New("it was let in")
	})
	wantRefused(t, err, codes.Unauthenticated, "it is not known who calls")
}

// wantRefused checks that a call was refused with a code and a text.
func wantRefused(t *testing.T, err error, code codes.Code, text string) {
	t.Helper()
	if st := status.Convert(err); st.Code() != code || !strings.Contains(st.Message(), text) {
		t.Errorf("%v: %s, want %v: %s", st.Code(), st.Message(), code, text)
	}
}
