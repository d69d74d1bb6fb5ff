package history

import (
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestEveryFactIsNamed: no step of a job that the contract has is too new to be shown.
func TestEveryFactIsNamed(t *testing.T) {
	steps := (&pb.JobFact{}).ProtoReflect().Descriptor().Oneofs().ByName("step").Fields()
	if steps.Len() < 10 {
		t.Fatalf("only %d kinds of steps", steps.Len())
	}
	for i := range steps.Len() {
		f := &pb.JobFact{}
		f.ProtoReflect().Set(steps.Get(i), f.ProtoReflect().NewField(steps.Get(i)))
		if name, _ := stepText(f); name == "unknown" {
			t.Errorf("%s is shown as unknown", steps.Get(i).Name())
		}
	}
}
