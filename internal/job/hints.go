package job

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
)

// weights are the codes of warnings and findings, the weightiest first: what spoils the
// measured values, what does the verdict, what leaves it open, then checks that are due.
// What is in no row is a remark, and comes last.
var weights = [][]string{
	{"warning.damaged", "warning.out", "warning.doubt.measured", "warning.doubt.verdict", "warning.doubt.chosen"},
	codes(evaluate.FindingOutOfBounds, evaluate.FindingWrongPart, evaluate.FindingTotal, evaluate.FindingForbidden, evaluate.FindingSurely),
	codes(evaluate.FindingImplausible, evaluate.FindingUnfelt, evaluate.FindingTwoZeros, evaluate.FindingDisagree, evaluate.FindingNotClosed, evaluate.FindingImpossible,
		evaluate.FindingNoValue, evaluate.FindingNotInTable, evaluate.FindingUnjudged),
	codes(evaluate.FindingNearLimit, evaluate.FindingInterval, evaluate.FindingTooNarrow),
	codes(evaluate.FindingNothingFits, evaluate.FindingOutOfStock, evaluate.FindingTaken, evaluate.FindingTooMany, evaluate.FindingUnknownPart,
		evaluate.FindingThickness, evaluate.FindingPrediction, evaluate.FindingUnpredicted, evaluate.FindingUnrecorded),
	{"due.by_hand", "due.recall"},
	codes(evaluate.FindingOutlier, evaluate.FindingScatter, evaluate.FindingUnseated, evaluate.FindingIdentical, evaluate.FindingUnlikely, evaluate.FindingWorst),
	{"due.never_checked", "due.never_passed", "due.calendar", "due.too_old", "due.passed_too_old", "due.used_since", "due.none_passed_since", "due.after_job", "warning.after.due"},
}

func codes(of ...evaluate.FindingCode) (all []string) {
	for _, code := range of {
		all = append(all, string(code))
	}
	return all
}

// weight is the row of a code: the smaller, the sooner it is told.
func weight(code string) int {
	row := slices.IndexFunc(weights, func(row []string) bool { return slices.Contains(row, code) })
	if row < 0 {
		return len(weights)
	}
	return row
}

// Hints are the job's warnings and the given findings of it, the weightiest first and else
// as they stand. That a gauge's check was due is left out where it has passed one since, or a
// later warning of that gauge says more.
func (j *Job) Hints(found []evaluate.Finding) (all []gauge.Message) {
	type hint struct {
		gauge.Message
		weight int
	}
	var hints []hint
	for i, m := range j.Warnings {
		if !j.outdone(m, j.Warnings[i+1:]) {
			hints = append(hints, hint{m, weight(m.Code)})
		}
	}
	for _, f := range found {
		hints = append(hints, hint{f.Says, weight(string(f.Code))})
	}
	slices.SortStableFunc(hints, func(a, b hint) int { return cmp.Compare(a.weight, b.weight) })
	for _, h := range hints {
		all = append(all, h.Message)
	}
	return all
}

// outdone reports whether the gauge was checked after a warning that its check is due: it
// passed, or a later warning tells that it failed.
func (j *Job) outdone(m gauge.Message, later []gauge.Message) bool {
	of := gaugeOf(m)
	return strings.HasPrefix(m.Code, "due.") && (j.passed[of] || slices.ContainsFunc(later, func(l gauge.Message) bool {
		return gaugeOf(l) == of && failed(l)
	}))
}

// failed reports whether a warning tells of a check that its gauge has failed.
func failed(m gauge.Message) bool {
	why, _ := m.Arg("why")
	return strings.HasPrefix(m.Code, "warning.doubt.") || m.Code == "due.by_hand" || m.Code == "warning.out" && why.Message != nil && why.Message.Code == "turn.failed"
}

// gaugeOf is the gauge that a message names, itself or in its reason; empty: none.
func gaugeOf(m gauge.Message) string {
	if because, ok := m.Arg("because"); ok && because.Message != nil {
		m = *because.Message
	}
	id, _ := m.Arg("gauge")
	return id.Text
}

// holding is a notice while it holds: not what was refused because of a check that has
// ended since, or of a gauge that is back in service.
func holding(notice gauge.Message, healthOf func(id string) *health.Gauge, now time.Time) gauge.Message {
	h := healthOf(gaugeOf(notice))
	ended := notice.Code == "notice.being-checked" && h.Checking(now) == nil
	back := notice.Code == "refusal.gauge.take-another" && h != nil && h.Standing == health.InService
	if ended || back {
		return gauge.Message{}
	}
	return notice
}
