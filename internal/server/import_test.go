package server

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestImportSaysEachCauseOnce: what cannot be read, or is not believed, is one problem with
// its error and its field, in the order of the request, and hides none in another field.
func TestImportSaysEachCauseOnce(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	good := func(change func(*gaugedv1.PastPoint)) *gaugedv1.PastPoint {
		p := &gaugedv1.PastPoint{MasterId: "of the laboratory", Unit: gaugedv1.Unit_UNIT_MILLIMETRE, Value: "25", Error: "0.001", Uncertainty: "0.0004", K: "2"}
		change(p)
		return p
	}
	for name, a := range map[string]struct {
		change func(*gaugedv1.PastPoint)
		want   []string // point and field
	}{
		"k as a word":            {func(p *gaugedv1.PastPoint) { p.K = "zwei" }, []string{"1 k"}},
		"no k":                   {func(p *gaugedv1.PastPoint) { p.K = "" }, []string{"1 k"}},
		"k of nought":            {func(p *gaugedv1.PastPoint) { p.K = "0" }, []string{"1 k"}},
		"no value":               {func(p *gaugedv1.PastPoint) { p.Value = "" }, []string{"1 value"}},
		"a value of zero":        {func(p *gaugedv1.PastPoint) { p.Value, p.MasterId = "", "zero" }, []string{"1 value"}},
		"an uncertainty below 0": {func(p *gaugedv1.PastPoint) { p.Uncertainty = "-0.0004" }, []string{"1 uncertainty"}},
		"a block below 0":        {func(p *gaugedv1.PastPoint) { p.MasterId, p.Value, p.Uncertainty = "zero", "0", "-1" }, []string{"1 uncertainty"}},
		"no unit":                {func(p *gaugedv1.PastPoint) { p.Unit = 0 }, []string{"1 unit"}},
		"no unit and no k":       {func(p *gaugedv1.PastPoint) { p.Unit, p.K = 0, "two" }, []string{"1 unit", "1 k"}},
		"no master":              {func(p *gaugedv1.PastPoint) { p.MasterId = "" }, []string{"1 master_id"}},
		"far off":                {func(p *gaugedv1.PastPoint) { p.Error = "2475" }, []string{"1 error"}},
		"far off, and k as word": {func(p *gaugedv1.PastPoint) { p.Error, p.K = "2475", "zwei" }, []string{"1 error", "1 k"}},
		"other value of a block": {func(p *gaugedv1.PastPoint) { p.MasterId, p.Value = "zero", "25" }, []string{"1 value"}},
	} {
		request := &gaugedv1.ImportChecksRequest{GaugeId: "micrometer", By: "q", ValidateOnly: true, Checks: []*gaugedv1.PastCheck{
			{Time: timestamppb.New(time.Unix(1e9, 0)), Found: []*gaugedv1.PastPoint{good(a.change)}},
		}}
		answer, err := c.ImportChecks(t.Context(), request)
		var got []string
		for _, p := range answer.GetProblems() {
			got = append(got, fmt.Sprint(p.GetPoint(), " ", p.GetField()))
		}
		if err != nil || !slices.Equal(got, a.want) {
			t.Errorf("%s: %q of %v, %v, want %q", name, got, answer.GetProblems(), err, a.want)
		}
	}
	meant := &gaugedv1.ImportChecksRequest{GaugeId: "micrometer", By: "q", ValidateOnly: true, FarOffConfirmed: true, Checks: []*gaugedv1.PastCheck{
		{Time: timestamppb.New(time.Unix(1e9, 0)), Found: []*gaugedv1.PastPoint{good(func(p *gaugedv1.PastPoint) { p.Error = "2475" })}},
	}}
	if answer, err := c.ImportChecks(t.Context(), meant); err != nil || len(answer.GetProblems()) > 0 || len(answer.GetChecks()) != 1 {
		t.Errorf("an error that is meant: %v, %v", answer, err)
	}
}
