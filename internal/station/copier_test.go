package station

import (
	"math/rand/v2"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// copier appends jobs that are copies of others with other readings.
type copier struct {
	r         *rig
	random    *rand.Rand
	seq, last uint64
	numbers   map[string]uint64
	models    map[uint64][]gauge.Fact
	readings  map[uint64]*gauge.Reading
	facts     []gauge.Fact
	unusual   bool // some jobs are cut short, and some readings discarded and taken again
}

// newCopier is for so many copies, of which the station is told.
func newCopier(r *rig, jobs int) *copier {
	c := &copier{
		r: r, random: rand.New(rand.NewPCG(7, 7)), seq: r.store.LastSeq(), last: r.lastJob,
		numbers: map[string]uint64{}, models: map[uint64][]gauge.Fact{}, readings: map[uint64]*gauge.Reading{},
	}
	for _, g := range r.gauges {
		c.numbers[g.ID] = g.lastNumber
	}
	r.lastJob += uint64(jobs)
	return c
}

// model returns the facts of a job, and keeps them with their readings.
func (c *copier) model(id uint64) []gauge.Fact {
	if c.models[id] != nil {
		return c.models[id]
	}
	facts, err := c.r.store.JobFacts(c.r.t.Context(), id)
	if err != nil {
		c.r.t.Fatal(err)
	}
	c.models[id] = facts
	for _, f := range facts {
		if f.Job.Kind != job.KindTaken {
			continue
		}
		data, err := job.Unmarshal[job.TakenData](f.Job)
		if err != nil {
			c.r.t.Fatal(err)
		}
		read, err := c.r.store.Reading(c.r.t.Context(), data.Reading)
		if err != nil {
			c.r.t.Fatal(err)
		}
		c.readings[data.Reading] = read.Reading
	}
	return facts
}

// job appends a copy of a job in which another gauge measured, and the play so
// many times.
func (c *copier) job(of uint64, by string, plays int) {
	c.last++
	play := mm("0.090") + gauge.Length(c.random.IntN(400))*1e5 // up to 0.130 mm
	facts := c.model(of)
	if c.unusual && c.random.IntN(8) == 0 {
		facts = facts[:1+c.random.IntN(len(facts)-1)]
	}
	for _, f := range facts {
		copied := *f.Job
		copied.Job = c.last
		times := 1
		switch copied.Kind {
		case job.KindStarted:
			copied.Data = []byte(strings.ReplaceAll(string(copied.Data), `"strict"`, `"`+by+`"`))
		case job.KindTaken:
			if strings.Contains(string(copied.Data), "end_play") {
				times = plays
			}
		}
		if c.unusual && copied.Kind == job.KindTaken && c.random.IntN(10) == 0 {
			c.fact(copied, by, play+mm("1"))
			copied.Kind, copied.Data = job.KindDiscarded, job.Marshal(job.DiscardedData{Reading: c.seq - 1, Reason: "slipped"})
			c.fact(copied, by, play)
			copied = *f.Job
			copied.Job = c.last
		}
		for range times {
			c.fact(copied, by, play)
		}
	}
	if len(c.facts) >= 8000 {
		c.flush()
	}
}

// fact appends a fact, and before it the reading that it names: of the play it is
// near to play.
func (c *copier) fact(f gauge.JobFact, by string, play gauge.Length) {
	if f.Kind == job.KindTaken {
		data, err := job.Unmarshal[job.TakenData](&f)
		if err != nil {
			c.r.t.Fatal(err)
		}
		reading := *c.readings[data.Reading]
		if reading.EnteredBy == "" {
			reading.Gauge = by
		}
		if data.Measurement == "end_play" {
			reading.Value = play
		}
		reading.Value += gauge.Length(c.random.IntN(11)-5) * 1e5
		reading.Shown = reading.Value.Text(reading.Unit, 4)
		c.numbers[reading.Gauge]++
		reading.Number = c.numbers[reading.Gauge]
		c.seq++
		c.facts = append(c.facts, gauge.Fact{Seq: c.seq, Reading: &reading})
		data.Reading = c.seq
		f.Data = job.Marshal(data)
	}
	c.seq++
	c.facts = append(c.facts, gauge.Fact{Seq: c.seq, Job: &f})
}

// flush stores what was appended.
func (c *copier) flush() {
	if err := c.r.store.Append(c.r.t.Context(), c.facts); err != nil {
		c.r.t.Fatal(err)
	}
	c.facts = c.facts[:0]
}
