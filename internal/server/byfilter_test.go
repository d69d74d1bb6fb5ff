package server

import (
	"slices"
	"testing"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
)

// TestNamesOfWhatOnlyLooks: of the requests with a field by, those of a call that only looks
// are listed here: their by is whose things are asked for. All others sign.
func TestNamesOfWhatOnlyLooks(t *testing.T) {
	var filters []string
	signing := 0
	for _, m := range methods() {
		by := m.Input().Fields().ByName("by")
		if by == nil {
			continue
		}
		if signs("/" + string(m.Parent().FullName()) + "/" + string(m.Name())) {
			signing++
		} else {
			filters = append(filters, string(by.FullName()))
		}
	}
	if want := []string{"gauged.v1.ListJobsRequest.by"}; !slices.Equal(filters, want) || signing < 20 {
		t.Errorf("%v look and %d sign, want %v and 20 or more", filters, signing, want)
	}
}

// TestJobsOfOthersAreListed: on a closed station each sees everybody's jobs, and those of
// whom they ask for.
func TestJobsOfOthersAreListed(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	jobs := gaugedv1.NewJobServiceClient(r.conn)
	secrets := map[string]string{}
	for serial, role := range map[string]access.Role{"A-1": access.RoleTechnician, "B-2": access.RoleQuality} {
		_, secrets[serial] = r.token(role)
		if _, err := jobs.StartJob(showing(t.Context(), secrets[serial]), &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: serial}); err != nil {
			t.Fatal(err)
		}
	}
	_, reader := r.token(access.RoleReader)
	for by, want := range map[string][]string{
		"":                 {"A-1", "B-2"},
		"press-technician": {"A-1"},
		"press-quality":    {"B-2"},
		"press-reader":     nil,
	} {
		for _, secret := range []string{reader, secrets["A-1"], secrets["B-2"]} {
			answer, err := jobs.ListJobs(showing(t.Context(), secret), &gaugedv1.ListJobsRequest{By: by})
			if err != nil {
				t.Errorf("by %q: %v", by, err)
			}
			var got []string
			for _, j := range answer.GetJobs() {
				got = append(got, j.GetUnitSerial())
			}
			if slices.Sort(got); !slices.Equal(got, want) {
				t.Errorf("by %q: %v, want %v", by, got, want)
			}
		}
	}
}
