package page

import (
	"cmp"
	"context"
	"net/http"
	"strconv"

	"gauged/internal/job"
	"gauged/internal/page/events"
)

// jobRegions are the regions that change when the job does; the live reading
// changes more often and is apart.
var jobRegions = []string{"where", "step", "steps", "more", "bar"}

// streamJob keeps a job up to date, and gives the tones.
func (p *Page) streamJob(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	if _, err := p.o.Station.Job(r.Context(), id); err != nil {
		return err
	}
	s := events.New(w, r.Request)
	missed, err := p.missed(r.Context(), id, s.Last)
	if err != nil {
		return err
	}
	var before *job.Job
	var shown string // that changes without the job
	return p.follow(r, s, func() error {
		page, err := p.jobNow(r, id)
		if err != nil {
			return err
		}
		regions := map[string]string{}
		for _, name := range []string{"live", "after"} {
			if regions[name], err = p.region(r.words.Language(), "job", name, page); err != nil {
				return err
			}
		}
		if now := page.progress() + page.NotReady(); page.Job != before || now != shown {
			shown = now
			for _, name := range jobRegions {
				if regions[name], err = p.region(r.words.Language(), "job", name, page); err != nil {
					return err
				}
			}
		}
		if err := s.Regions(p.o.Station.Newest(), regions); err != nil {
			return err
		}
		tone := cmp.Or(missed, toneOf(before, page.Job))
		before, missed = page.Job, ""
		if tone != "" {
			if err := s.Event("tone", 0, tone); err != nil {
				return err
			}
		}
		if page.Stage == job.StageClosed {
			return s.Event("leave", 0, "/jobs/"+strconv.FormatUint(id, 10))
		}
		return nil
	})
}

// missed is what would have been heard after an event of the stream, while the
// page was cut off: somebody who heard nothing would measure once more.
func (p *Page) missed(ctx context.Context, job, after uint64) (tone string, err error) {
	if after == 0 {
		return "", nil
	}
	facts, err := p.o.Station.JobFacts(ctx, job)
	if err != nil {
		return "", err
	}
	for _, f := range facts {
		if f.Seq > after && f.Job.Kind == "taken" {
			return "taken", nil
		}
	}
	return "", nil
}

// toneOf is what is heard when a job changes: that a reading was taken, that
// something was not, or that something else was done. The first look at a job is silent.
func toneOf(before, now *job.Job) string {
	switch {
	case before == nil || before == now:
		return ""
	case !now.Notice.IsZero():
		return "refused"
	case readings(now) > readings(before):
		return "taken"
	case now.LastSeq > before.LastSeq:
		return "done"
	}
	return ""
}

func readings(j *job.Job) (n int) {
	for _, m := range j.Evaluation.Measurements {
		n += len(m.Readings)
	}
	return n
}
