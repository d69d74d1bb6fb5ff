package station

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// warned returns the job with what is to be known of its gauges now, besides what
// was said at its start and when it was closed.
func warned(j *job.Job, health func(id string) *health.Gauge, now time.Time) *job.Job {
	next := *j
	next.Warnings = slices.Clip(j.Told)
	ids := gaugesOf(j.Gauges)
	for _, r := range j.Taken {
		ids[r.Gauge] = true
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) {
		h := health(id)
		if h == nil {
			continue
		}
		for _, text := range jobWarnings(id, h, j, now) {
			if !slices.Contains(next.Warnings, text) {
				next.Warnings = append(next.Warnings, text)
			}
		}
	}
	return &next
}

func jobWarnings(id string, h *health.Gauge, j *job.Job, now time.Time) []string {
	seqs := j.ReadingsOf(id)
	doubtful, texts := doubts(id, h, j, seqs)
	if len(seqs) > 0 && h.Plan != nil && h.Plan.AfterEach && j.Over() {
		texts = append(texts, afterwards(id, h, j, seqs[len(seqs)-1])...)
	}
	if !j.Closed.IsZero() {
		return texts
	}
	if h.Standing != health.InService {
		text := h.OutText(id) + "; no more of its readings are taken"
		if came := without(seqs, doubtful); len(came) > 0 {
			text += ", and " + readingsText(came) + " came from it"
		}
		texts = append(texts, text)
	}
	if text := h.DueInJob(id, now); text != "" {
		texts = append(texts, text)
	}
	return texts
}

// doubts says which readings of a gauge came before a check that it failed, and
// what this does to the verdict.
func doubts(id string, h *health.Gauge, j *job.Job, seqs []uint64) (doubtful []uint64, texts []string) {
	by := map[uint64][]uint64{}
	var order []*health.Settled
	for _, seq := range seqs {
		s := h.SettledAfter(seq)
		if s == nil || !s.Failed {
			continue
		}
		if len(by[s.Seq]) == 0 {
			order = append(order, s)
		}
		by[s.Seq] = append(by[s.Seq], seq)
		doubtful = append(doubtful, seq)
	}
	for _, s := range order {
		what := "what was measured is in doubt"
		switch {
		case evaluate.OnlyChose(j.Procedure, &j.Evaluation, j.Taken, by[s.Seq]):
			what = "the part was chosen with a gauge that is in doubt, and the proof, which was measured without it, stands"
		case j.Evaluation.Outcome.Decided():
			what = "the verdict is in doubt"
		}
		texts = append(texts, fmt.Sprintf("%s: gauge %s failed its %s of %s, with an error of %s where %s is permissible, and %s came from it before",
			what, id, s.What, s.Time.UTC().Format(time.DateOnly), inMicrometres(s.Worst), inMicrometres(s.Limit), readingsText(by[s.Seq])))
	}
	return doubtful, texts
}

// afterwards says of the check after the job that it is still due, or how it ended.
func afterwards(id string, h *health.Gauge, j *job.Job, last uint64) []string {
	due := fmt.Sprintf("the check of gauge %s after the job is still due", id)
	if h.Last == nil || h.Last.Seq < last {
		return []string{due}
	}
	closedWithout := !j.Closed.IsZero() && slices.Contains(j.Told, due)
	if s := h.SettledAfter(last); closedWithout && s != nil && !s.Failed {
		return []string{fmt.Sprintf("the check of gauge %s after the job was made on %s, and the gauge passed", id, s.Time.UTC().Format(time.DateOnly))}
	}
	return nil
}

// warnJobs brings the warnings of the open jobs of a gauge up to its health.
func (d *draft) warnJobs(gaugeID string) {
	d.eachOpen(func(j *job.Job) {
		if j.Uses(gaugeID) || len(j.ReadingsOf(gaugeID)) > 0 {
			d.jobs[j.ID] = warned(j, d.healthOf, d.s.o.Now())
		}
	})
}

// closingWarnings are what a job says of its gauges when it is closed and did not
// say at its start.
func (d *draft) closingWarnings(j *job.Job) []string {
	now := d.s.o.Now()
	closed := *j
	closed.Closed = now
	texts := warned(j, d.healthOf, now).Warnings[len(j.Told):]
	for _, text := range warned(&closed, d.healthOf, now).Warnings[len(j.Told):] {
		if !slices.Contains(texts, text) {
			texts = append(texts, text)
		}
	}
	return texts
}

// serves says why no reading of a gauge is taken into a job now.
func (d *draft) serves(gaugeID string) error {
	if h := d.healthOf(gaugeID); h != nil && h.Standing != health.InService {
		return gauge.Refused("refusal.gauge.take-another", h.Out(gaugeID)...)
	}
	return nil
}

// readingsText names readings by their numbers.
func readingsText(seqs []uint64) string {
	if len(seqs) == 1 {
		return fmt.Sprintf("reading %d", seqs[0])
	}
	texts := make([]string, len(seqs))
	for i, seq := range seqs {
		texts[i] = strconv.FormatUint(seq, 10)
	}
	return "readings " + strings.Join(texts[:len(texts)-1], ", ") + " and " + texts[len(texts)-1]
}

func without(all, left []uint64) (rest []uint64) {
	for _, one := range all {
		if !slices.Contains(left, one) {
			rest = append(rest, one)
		}
	}
	return rest
}

// inMicrometres writes an error as it is said in a sentence.
func inMicrometres(l gauge.Length) string { return l.Text(gauge.Micrometre, 1) + " um" }
