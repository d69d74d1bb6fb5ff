package sheet

import (
	"slices"
	"testing"
	"time"

	"gauged/internal/job"
	"gauged/internal/words"
)

// TestLabelsOfASheet: the order stands in the head, before other labels, and what was said
// wrongly before is told with the reason, in the words of the language.
func TestLabelsOfASheet(t *testing.T) {
	j := worked(t, bothEnds, shims, nil, "left 1.65", "right 1.44")
	j.Started = time.Date(2026, 3, 2, 12, 0, 0, 0, time.Local)
	j.Labels = job.Labels{"bay": "3", "customer": "Miller", "order": "A-1042"}
	told := Input{Job: j, Course: []job.CourseStep{{
		Kind: job.KindLabelled, Time: j.Started.Add(90 * time.Second), By: "lead", Reason: "misread",
		Labels: &job.LabelledData{Labels: j.Labels, Before: job.Labels{"order": "A-1041", "customer": "Miller", "seal": "7"}},
	}}}
	for language, want := range map[words.Language]struct{ order, customer, section, step, told string }{
		words.English: {"Order", "Customer", "How the job went", "Step", "Order and other labels set: Order: A-1041 → A-1042; bay: - → 3; seal: 7 → -, misread"},
		words.German:  {"Bestellung", "Kunde", "Ablauf", "Schritt", "Bestellung und andere Vermerke gesetzt: Bestellung: A-1041 → A-1042; bay: - → 3; seal: 7 → -, misread"},
	} {
		s := made(t, told, in(t, language))
		if got := s.Head[1:4]; !slices.Equal(got, []Pair{{want.order, "A-1042"}, {want.customer, "Miller"}, {"bay", "3"}}) {
			t.Errorf("%s: the head has %v", language, got)
		}
		if got := row(t, s, want.section, "12:01:30")[want.step]; got != want.told {
			t.Errorf("%q, want %q", got, want.told)
		}
	}
}
