package main

import (
	"net/http"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// TestCloseAnOpenStation: a person who was added while the station was open is there when it
// starts without the line that opens it; then the user of the daemon is known at the socket,
// another name is refused, and the page shows an unpaired device nothing.
func TestCloseAnOpenStation(t *testing.T) {
	page := freeAddress(t)
	rest := "listen: {grpc: unix://s, page: \"" + page + "\"}\ngauges:\n  depth: {outside: yes, mode: button}\n"
	tr := newTrial(t, rest)
	tr.start()
	calls := func() pb.AccessServiceClient { return pb.NewAccessServiceClient(tr.conn) }
	if _, err := calls().AddPerson(t.Context(), &pb.AddPersonRequest{Name: "Ada B.", Role: pb.Role_ROLE_ADMINISTRATOR, Pin: "471108", By: "setup"}); err != nil {
		t.Fatal(err)
	}
	asked := func() int {
		request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+page+"/", nil)
		if err != nil {
			t.Fatal(err)
		}
		request.Header.Set("Accept", "text/html")
		answer, err := http.DefaultTransport.RoundTrip(request)
		if err != nil {
			t.Fatal(err)
		}
		_ = answer.Body.Close()
		return answer.StatusCode
	}
	if code := asked(); code != http.StatusOK {
		t.Errorf("open, the page answers %d", code)
	}
	tr.stop()
	tr.write("station.yaml", "station: trial\nhistory: history.db\n"+rest)
	tr.start()
	who, err := calls().WhoAmI(t.Context(), &pb.WhoAmIRequest{})
	if err != nil || who.GetDoor() != pb.Door_DOOR_SOCKET || who.GetRole() != pb.Role_ROLE_ADMINISTRATOR {
		t.Errorf("at the socket: %v, %v", who, err)
	}
	people, err := calls().ListPeople(t.Context(), &pb.ListPeopleRequest{})
	if err != nil || len(people.GetPeople()) != 1 || people.GetPeople()[0].GetName() != "Ada B." {
		t.Errorf("%v, %v", people, err)
	}
	shown := metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer nobody's")
	if _, err := calls().WhoAmI(shown, &pb.WhoAmIRequest{}); status.Code(err) != codes.Unauthenticated {
		t.Errorf("a token that is none: %v", err)
	}
	if _, err := calls().RemovePerson(t.Context(), &pb.RemovePersonRequest{Name: "Ada B.", By: "somebody"}); status.Code(err) != codes.PermissionDenied || !strings.Contains(err.Error(), "somebody") {
		t.Errorf("in another name: %v", err)
	}
	if code := asked(); code != http.StatusSeeOther {
		t.Errorf("closed, the page answers an unpaired device %d", code)
	}
}
