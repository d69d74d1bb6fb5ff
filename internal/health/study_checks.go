package health

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
)

// round is the readings of a check at one time: as found, or as left.
type round struct {
	seq    uint64
	time   time.Time
	points []check.StoredPoint
	result check.Result
}

// series are the rounds since a time, or since the last adjustment.
func series(records []*check.Record, since time.Time) (rounds []round) {
	for _, c := range records {
		if c.Time.Before(since) {
			continue
		}
		rounds = append(rounds, round{c.Seq, c.Time, c.Points, c.Result})
		if c.Left == nil {
			continue
		}
		if since.IsZero() {
			rounds = nil // what it showed before tells nothing of what it shows now
		}
		rounds = append(rounds, round{c.Seq, c.Time, c.PointsLeft, *c.Left})
	}
	return rounds
}

// readings are those of one point; of a study of stability, their mean.
func (c round) readings(i int, kind study.Kind, unit gauge.Unit) (all []StudyReading) {
	p, result := c.points[i], c.result.Points[i]
	row := StudyReading{StudyRow: StudyRow{Master: p.Master.ID, Run: fmt.Sprint(c.seq), Time: c.time.UTC().Format(time.RFC3339)}, Known: studyText(result.Reference, unit)}
	if kind == study.StabilityKind {
		row.Part, row.Value = result.Name(), studyText(result.Mean, unit)
		return []StudyReading{row}
	}
	for k, value := range p.Readings {
		one := row
		one.Seq, one.Value = p.Seqs[k], studyText(value, unit)
		all = append(all, one)
	}
	return all
}

// checkReadings takes the readings of stored checks.
func (r StudyRequest) checkReadings(from StudySource) (readings []StudyReading, unit gauge.Unit, err error) {
	if !slices.Contains(fromChecks, r.Plan.Kind) {
		return nil, 0, gauge.WrongInput("refusal.study.not-from-checks", gauge.WordOf("kind", "study.of", r.Plan.Kind))
	}
	if r.Checks.Master != "" {
		if _, ok := from.Masters[r.Checks.Master]; !ok {
			return nil, 0, gauge.NotFound("refusal.master.missing", gauge.Text("master", r.Checks.Master))
		}
	}
	unit = cmp.Or(r.Unit, from.Unit, gauge.Millimetre)
	if unit.Kind() != gauge.KindLength {
		return nil, 0, gauge.WrongInput("refusal.study.checks-length", gauge.Text("unit", unit.String()))
	}
	records, err := from.Checks()
	if err != nil {
		return nil, 0, err
	}
	for _, c := range series(records, r.Checks.Since) {
		for i, p := range c.points {
			if r.Checks.Master == "" || p.Master.ID == r.Checks.Master {
				readings = append(readings, c.readings(i, r.Plan.Kind, unit)...)
			}
		}
	}
	if len(readings) == 0 {
		return nil, 0, gauge.Refused("refusal.study.no-checks", gauge.Text("gauge", r.Gauge))
	}
	return readings, unit, nil
}

// fromChecks are the kinds that stored checks can answer.
var fromChecks = []study.Kind{study.BiasKind, study.LinearityKind, study.StabilityKind, study.CapabilityKind}
