package vet

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
)

// slowest is far beyond what any file may take: it finds work without bound, not
// slowness.
const slowest = 10 * time.Second

// problems is what each line of an error is: one problem with its place.
var problems = regexp.MustCompile(`^(f\.yaml:[1-9]\d*:[1-9]\d*: .+\n?)*$`)

// FuzzReadProcedure begins with the files of the published examples and of the demo.
func FuzzReadProcedure(f *testing.F) {
	ring := ringWith("- {readings: {gap_read: 0.078, after: [0.007, 0.0072]}, wants: {part: ring 71}}")
	f.Add(ring)
	f.Add(strings.Replace(ring, "gap: gap_read", "gap: 2*(gap_read/3 - -gap_read)", 1))
	for _, pattern := range []string{tradeDir + "/*/procedure.yaml", demoDir + "/procedures/*.yaml"} {
		for _, path := range all(f, pattern) {
			f.Add(string(read(f, path)))
		}
	}
	f.Fuzz(func(t *testing.T, content string) {
		began := time.Now()
		p, err := ReadProcedure("f.yaml", []byte(content))
		if err == nil && len(p.FamilyIDs()) == 0 {
			if _, err := evaluate.Evaluate(p, nil, compute.Input{}); err != nil {
				t.Errorf("a procedure that loads does not evaluate: %v", err)
			}
			err = CheckExamples(p, nil)
		}
		if err != nil && !problems.MatchString(err.Error()) {
			t.Errorf("a problem without file:line:column: %v", err)
		}
		if took := time.Since(began); took > slowest {
			t.Errorf("reading took %v", took)
		}
	})
}
