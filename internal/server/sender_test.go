package server

import (
	"testing"

	"google.golang.org/grpc/codes"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
)

// TestFeedsOwnGaugesOnly: a token with a sender and gauges feeds as that one and those alone.
func TestFeedsOwnGaugesOnly(t *testing.T) {
	r := newClosedRig(t, access.Rules{Certificates: map[string]access.Grant{"press-7": {Role: access.RoleStation, Sender: "line 7"}}})
	_, secret := r.token(access.RoleStation, func(token *access.Token) { token.Sender, token.Gauges = "bench-2", []string{"sent"} })
	send := func(source, gaugeID string) error {
		stream, err := gaugedv1.NewGaugeServiceClient(r.conn).IngestReadings(showing(t.Context(), secret))
		if err != nil {
			t.Fatal(err)
		}
		first := given(1, 1)[0]
		first.GaugeId = gaugeID
		_ = stream.Send(&gaugedv1.IngestReadingsRequest{Source: source, Readings: []*gaugedv1.IngestedReading{first}})
		for through := uint64(0); through == 0 && err == nil; {
			var answer *gaugedv1.IngestReadingsResponse
			answer, err = stream.Recv()
			through = answer.GetDurableThroughSeq()
		}
		return err
	}
	wantRefused(t, send("bench-3", "sent"), codes.PermissionDenied, "press-station sends as bench-2, not as bench-3")
	wantRefused(t, send("bench-2", "pressed"), codes.PermissionDenied, "press-station does not feed gauge pressed")
	if err := send("bench-2", "sent"); err != nil {
		t.Error(err)
	}
	_, secret = r.token(access.RoleStation, func(token *access.Token) { token.Name, token.Gauges = "other", []string{"sent"} })
	wantRefused(t, send("bench-4", "sent"), codes.PermissionDenied, "other sends as other, not as bench-4")
	if err := send("other", "sent"); err != nil {
		t.Error(err)
	}
	_, secret = r.token(access.RoleStation, func(token *access.Token) { token.Name = "anybody" })
	if err := r.ChangeAccess(t.Context(), access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleTechnician})); err != nil {
		t.Fatal(err)
	}
	for source, of := range map[string]string{
		"bench-2": "press-station", "other": "other", "0ther": "other", "press-7": "press-7", "line 7": "press-7", "press-station": "press-station", "ADA": "Ada",
	} {
		wantRefused(t, send(source, "sent"), codes.PermissionDenied, source+" is the sender of "+of+", or looks like that name")
	}
	wantRefused(t, send("sent", "sent"), codes.PermissionDenied, "sent is a gauge of the station")
}

// TestFirstProgramOfASender: the program that first sends under a free name is the only one
// from then on, with a new token too; another takes the name over when an administrator names it.
func TestFirstProgramOfASender(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	feed := func(name, sender string, source string) error {
		_, secret := r.token(access.RoleStation, func(token *access.Token) { token.Name, token.Sender = name, sender })
		stream, err := gaugedv1.NewGaugeServiceClient(r.conn).IngestReadings(showing(t.Context(), secret))
		if err != nil {
			t.Fatal(err)
		}
		_ = stream.Send(&gaugedv1.IngestReadingsRequest{Source: source})
		_, err = stream.Recv()
		return err
	}
	for range 2 { // a second token of the same name
		if err := feed("bench", "", "history 1"); err != nil {
			t.Fatal(err)
		}
	}
	wantRefused(t, feed("stranger", "", "history 1"), codes.PermissionDenied, "history 1 is the sender of bench")
	for _, alike := range []string{"History 1", "history  1", "ｈistory 1"} { // two spaces, and a wide letter
		wantRefused(t, feed("stranger", "", alike), codes.PermissionDenied, alike+" is the sender of bench")
	}
	wantRefused(t, feed("stranger", "", "history\u200b1"), codes.InvalidArgument, "U+200B")
	if err := feed("stranger", "", "history 2"); err != nil {
		t.Error(err)
	}
	if err := feed("heir", "history 1", "history 1"); err != nil {
		t.Error(err)
	}
	_, boss := r.token(access.RoleAdministrator)
	log, err := gaugedv1.NewAccessServiceClient(r.conn).ListAccessEntries(showing(t.Context(), boss), &gaugedv1.ListAccessEntriesRequest{})
	bound := ""
	for _, e := range log.GetEntries() {
		if e.GetEvent() == gaugedv1.AccessEvent_ACCESS_EVENT_SENDER_BOUND {
			bound += e.GetSubject() + " by " + e.GetBy() + "; "
		}
	}
	if want := "history 1 by bench; history 2 by stranger; "; err != nil || bound != want {
		t.Errorf("%q, %v; want %q", bound, err, want)
	}
}
