package wire

import (
	"os"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/prototext"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/vet"
)

// TestRoundsOfAProcedure: a client sees how one round follows from another, or that
// each measures anew.
func TestRoundsOfAProcedure(t *testing.T) {
	stated, err := os.ReadFile("../../testdata/trade/carrier-in-rounds/procedure.yaml")
	if err != nil {
		t.Fatal(err)
	}
	unproven, _, _ := strings.Cut(preloadProcedure, "verify:")
	for text, want := range map[string]*gaugedv1.Rounds{
		unproven:         nil,
		preloadProcedure: {Most: 3},
		string(stated): {Most: 4, Next: []*gaugedv1.Follows{
			{Measurement: "left_trial", Formula: "fitted(ring_gear_side)"},
			{Measurement: "right_trial", Formula: "fitted(opposite_side)"},
			{Measurement: "end_play", Formula: "-preload"},
			{Measurement: "lash", Formula: "lash_after"},
		}},
	} {
		p, err := vet.ReadProcedure("p.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if got := Procedure(p).GetRounds(); !proto.Equal(got, want) {
			t.Errorf("%s: %s, want %s", p.ID, prototext.Format(got), prototext.Format(want))
		}
	}
}
