package server

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/server/message"
)

// TestPeopleAndTokensByCalls: an administrator says who may come in, and no answer has a
// secret or its hash in it but that which makes the token.
func TestPeopleAndTokensByCalls(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	calls := gaugedv1.NewAccessServiceClient(r.conn)
	_, boss := r.token(access.RoleAdministrator)
	ctx := showing(t.Context(), boss)
	must := func(m proto.Message, err error) string {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprint(m)
	}
	told := must(calls.AddPerson(ctx, &gaugedv1.AddPersonRequest{Name: "Ada", Role: gaugedv1.Role_ROLE_TECHNICIAN, Pin: "471108154711"}))
	pin := ""
	told += must(calls.ChangePerson(ctx, &gaugedv1.ChangePersonRequest{Name: "Ada", Role: gaugedv1.Role_ROLE_QUALITY, Badge: proto.String("BADGE-77")}))
	ada, _ := r.Register().Person("Ada")
	if ada.Role != access.RoleQuality || !access.SameSecret(ada.PIN, "471108154711") || !access.SameSecret(ada.Badge, "BADGE-77") {
		t.Errorf("%+v", ada)
	}
	made, err := calls.MakeToken(ctx, &gaugedv1.MakeTokenRequest{Name: "press", Role: gaugedv1.Role_ROLE_STATION, ExpireTime: timestamppb.New(time.Now().Add(time.Hour))})
	if err != nil {
		t.Fatal(err)
	}
	who, err := calls.WhoAmI(showing(t.Context(), made.GetSecret()), &gaugedv1.WhoAmIRequest{})
	if err != nil || who.GetName() != "press" || who.GetRole() != gaugedv1.Role_ROLE_STATION || who.GetDoor() != gaugedv1.Door_DOOR_TOKEN || who.GetTokenId() != made.GetToken().GetTokenId() {
		t.Errorf("%v, %v", who, err)
	}
	told += must(calls.ListPeople(ctx, &gaugedv1.ListPeopleRequest{})) + must(calls.ListTokens(ctx, &gaugedv1.ListTokensRequest{})) + must(calls.ListDevices(ctx, &gaugedv1.ListDevicesRequest{}))
	if !strings.Contains(told, "Ada") || !strings.Contains(told, "press") {
		t.Errorf("the lists have %s", told)
	}
	told += must(calls.RevokeToken(ctx, &gaugedv1.RevokeTokenRequest{TokenId: made.GetToken().GetTokenId()}))
	_, err = calls.WhoAmI(showing(t.Context(), made.GetSecret()), &gaugedv1.WhoAmIRequest{})
	wantRefused(t, err, codes.Unauthenticated, "is revoked")
	told += err.Error()
	refused := new(access.Refusals).Note("press", gauge.UnknownCaller("refusal.access.token-revoked", gauge.Text("token", "1"), gauge.Text("name", "press")), access.Call("/gauged.v1.AccessService/WhoAmI"), time.Now())
	if err := r.ChangeAccess(t.Context(), refused); err != nil {
		t.Fatal(err)
	}
	entries, err := calls.ListAccessEntries(ctx, &gaugedv1.ListAccessEntriesRequest{})
	if err != nil {
		t.Fatal(err)
	}
	events := map[gaugedv1.AccessEvent]*gaugedv1.AccessEntry{}
	for _, e := range entries.GetEntries() {
		events[e.GetEvent()] = e
	}
	if e := events[gaugedv1.AccessEvent_ACCESS_EVENT_PERSON_CHANGED]; e.GetSubject() != "Ada" || e.GetRole() != gaugedv1.Role_ROLE_QUALITY || e.GetBy() == "" {
		t.Errorf("the change of Ada: %v", e)
	}
	if e := events[gaugedv1.AccessEvent_ACCESS_EVENT_TOKEN_REVOKED]; e.GetSubject() != made.GetToken().GetTokenId() {
		t.Errorf("the revoked token: %v", e)
	}
	if e := events[gaugedv1.AccessEvent_ACCESS_EVENT_REFUSED]; e.GetDoor() != "call" || !strings.HasSuffix(e.GetWhat(), "/WhoAmI") || e.GetReason().GetCode() != "refusal.access.token-revoked" || e.GetCount() != 1 {
		t.Errorf("the refusal: %v", e)
	}
	told += fmt.Sprint(entries)
	told += must(calls.ChangePerson(ctx, &gaugedv1.ChangePersonRequest{Name: "Ada", Pin: &pin}))
	told += must(calls.RemovePerson(ctx, &gaugedv1.RemovePersonRequest{Name: "Ada"}))
	_, err = calls.ChangePerson(ctx, &gaugedv1.ChangePersonRequest{Name: "Ada", Pin: proto.String("081547110815")})
	wantRefused(t, err, codes.NotFound, `there is no person "Ada"`)
	_, err = calls.MakeToken(ctx, &gaugedv1.MakeTokenRequest{Name: "press", Role: gaugedv1.Role_ROLE_STATION, ExpireTime: timestamppb.New(time.Now().AddDate(11, 0, 0))})
	wantRefused(t, err, codes.InvalidArgument, "ten years at most")
	_, err = calls.BeginPairing(ctx, &gaugedv1.BeginPairingRequest{})
	wantRefused(t, err, codes.FailedPrecondition, "serves no page")

	told += r.log.String()
	for _, t2 := range r.Register().Tokens() {
		told = strings.ReplaceAll(told, t2.ID, "")
		if strings.Contains(told, t2.Hash) {
			t.Errorf("the hash of token %s was told", t2.ID)
		}
	}
	for _, secret := range []string{boss, made.GetSecret(), "471108154711", "BADGE-77", "081547110815", ada.PIN, ada.Badge, "argon2"} {
		if strings.Contains(told, secret) {
			t.Errorf("%q was told", secret)
		}
	}
}

// TestRolesOfTheContract: the contract numbers the roles as we do.
func TestRolesOfTheContract(t *testing.T) {
	values := gaugedv1.Role(0).Descriptor().Values()
	for i := range values.Len() {
		word := strings.ToLower(strings.TrimPrefix(string(values.Get(i).Name()), "ROLE_"))
		if role := message.FromRole(gaugedv1.Role(values.Get(i).Number())); role.String() != word && (i > 0 || role != access.RoleNone) {
			t.Errorf("%s is %q", word, role)
		}
	}
	if values.Len() != len(access.RoleWords())+1 || message.FromRole(99) != access.RoleNone {
		t.Errorf("%d roles", values.Len())
	}
}

// TestOpenIsTold: an open daemon says so, and a closed one does not.
func TestOpenIsTold(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	_, secret := r.token(access.RoleReader)
	closed, err := gaugedv1.NewServerServiceClient(r.conn).GetServerInfo(showing(t.Context(), secret), &gaugedv1.GetServerInfoRequest{})
	if err != nil || closed.GetAccessOpen() {
		t.Errorf("%v, %v", closed, err)
	}
	open, err := gaugedv1.NewServerServiceClient(r.rig.conn).GetServerInfo(t.Context(), &gaugedv1.GetServerInfoRequest{})
	if err != nil || !open.GetAccessOpen() {
		t.Errorf("%v, %v", open, err)
	}
}
