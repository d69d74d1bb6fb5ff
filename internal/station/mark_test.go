package station

import (
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
)

// TestMarkNamesAPart: a mark that one grade has names its part; no name at all is none,
// also where one grade is not marked.
func TestMarkNamesAPart(t *testing.T) {
	j := &job.Job{Families: map[string]*procedure.Family{"f": {Grades: []procedure.Grade{
		{Part: "A", Mark: "green"}, {Part: "B"}, {Part: "C", Mark: "red"}, {Part: "D", Mark: "red"},
	}}}}
	for said, want := range map[string]string{"green": "A", "Green": "A", "B": "B", "red": "red", "": "", "x": "x"} {
		if got := j.PartNamed(procedure.Place{Parts: "f"}, said); got != want {
			t.Errorf("%q names %q, want %q", said, got, want)
		}
	}
}
