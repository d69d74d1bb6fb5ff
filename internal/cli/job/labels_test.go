package job

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestLabelsAreListed: the list of jobs has the labels where one has some, and a job shows its own.
func TestLabelsAreListed(t *testing.T) {
	jobs := []*pb.Job{{Id: 2, UnitSerial: "U-2", Labels: map[string]string{"order": "A-1042", "customer": "Miller"}}, {Id: 1, UnitSerial: "U-1"}}
	var list, plain, head strings.Builder
	renderJobs(&list, jobs)
	if rows := strings.Split(list.String(), "\n"); !strings.HasSuffix(rows[0], "LABELS") || !strings.HasSuffix(rows[1], "customer Miller, order A-1042") || !strings.HasSuffix(rows[2], "-") {
		t.Errorf("%s", list.String())
	}
	renderJobs(&plain, jobs[1:])
	if strings.Contains(plain.String(), "LABELS") {
		t.Errorf("nobody has labels:\n%s", plain.String())
	}
	renderJobHead(&head, jobs[0])
	if !strings.Contains(head.String(), "customer Miller, order A-1042") {
		t.Errorf("%s", head.String())
	}
}
