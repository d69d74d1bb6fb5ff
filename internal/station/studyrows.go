package station

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
)

const (
	mostStudyRows = 10_000
	longestLabel  = 200 // bytes of a label of a row
	studyDecimals = 15  // more than any reading has in any unit

)

// fromChecks are the kinds that stored checks can answer.
var fromChecks = []study.Kind{study.BiasKind, study.LinearityKind, study.StabilityKind, study.CapabilityKind}

// studyReadings brings the rows of a request into the unit of the study.
func (s *Station) studyReadings(ctx context.Context, r StudyRequest) (readings []StudyReading, unit gauge.Unit, err error) {
	switch {
	case len(r.Rows) == 0:
		return nil, 0, fmt.Errorf("%w: a study needs readings", gauge.ErrInput)
	case len(r.Rows) > mostStudyRows:
		return nil, 0, fmt.Errorf("%w: %d readings are more than the %d of one study", gauge.ErrInput, len(r.Rows), mostStudyRows)
	}
	unit = r.Unit
	for i, row := range r.Rows {
		one, err := s.studyReading(ctx, r, row, &unit)
		if err != nil {
			return nil, 0, inRow(i+1, err)
		}
		readings = append(readings, one)
	}
	return readings, unit, nil
}

// inRow says in which row it is, after the kind of the error.
func inRow(row int, err error) error {
	for _, kind := range []error{gauge.ErrInput, gauge.ErrNotFound, gauge.ErrRefused} {
		if errors.Is(err, kind) {
			return fmt.Errorf("%w: row %d: %s", kind, row, strings.TrimPrefix(err.Error(), kind.Error()+": "))
		}
	}
	return err
}

// studyReading reads one row; the first one says the unit where nobody did.
func (s *Station) studyReading(ctx context.Context, r StudyRequest, row StudyRow, unit *gauge.Unit) (one StudyReading, err error) {
	for _, label := range []string{row.Part, row.Person, row.Trial, row.Group, row.Day, row.Run, row.Time, row.Reference, row.Master} {
		if len(label) > longestLabel {
			return one, fmt.Errorf("%w: %q... is longer than %d bytes", gauge.ErrInput, label[:40], longestLabel)
		}
	}
	var value gauge.Length
	given := row.Unit
	switch {
	case (row.Seq == 0) == (row.Typed == ""):
		return one, fmt.Errorf("%w: name a stored reading or a value, and not both", gauge.ErrInput)
	case row.Seq > 0:
		f, err := s.o.Store.Reading(ctx, row.Seq)
		if err != nil {
			return one, fmt.Errorf("%w: reading %d: %w", gauge.ErrNotFound, row.Seq, err)
		}
		if f.Reading.Gauge != r.Gauge {
			return one, fmt.Errorf("%w: reading %d is of %s, not of %s", gauge.ErrInput, row.Seq, f.Reading.Gauge, r.Gauge)
		}
		value, given = f.Reading.Value, f.Reading.Unit
		if row.Time == "" && r.Plan.Kind == study.StabilityKind {
			row.Time = f.Reading.Time.UTC().Format(time.RFC3339)
		}
	case !given.Known():
		return one, fmt.Errorf("%w: the value %q has no unit: a unit is never guessed", gauge.ErrInput, row.Typed)
	default:
		if value, err = gauge.ParseLength(row.Typed, given); err != nil {
			return one, fmt.Errorf("%w: %w", gauge.ErrInput, err)
		}
	}
	if !unit.Known() {
		*unit = given
	}
	if given.Kind() != unit.Kind() {
		return one, fmt.Errorf("%w: the reading is in %v, the study in %v: one study has values of one kind", gauge.ErrInput, given, *unit)
	}
	one = StudyReading{StudyRow: row, Value: studyText(value, *unit)}
	one.Known, err = s.known(row, *unit)
	return one, err
}

// known is the reference value of a row, empty when it has none.
func (s *Station) known(row StudyRow, unit gauge.Unit) (string, error) {
	switch {
	case row.Reference != "" && row.Master != "":
		return "", fmt.Errorf("%w: the reference value is that of a master or a number, not both", gauge.ErrInput)
	case row.Reference != "":
		if _, err := study.ParseNumber(row.Reference); err != nil {
			return "", fmt.Errorf("%w: reference value: %w", gauge.ErrInput, err)
		}
		return row.Reference, nil
	case row.Master == "":
		return "", nil
	}
	m, err := s.master(row.Master)
	switch {
	case err != nil:
		return "", err
	case unit.Kind() != gauge.KindLength:
		return "", fmt.Errorf("%w: master %s is a length, the readings are in %v", gauge.ErrInput, m.ID, unit)
	}
	return studyText(m.Value, unit), nil
}

// master returns a master that may be used today.
func (s *Station) master(id string) (check.Master, error) {
	m, ok := s.o.Masters[id]
	switch {
	case !ok:
		return m, fmt.Errorf("%w: there is no master %q", gauge.ErrNotFound, id)
	case m.Overdue(s.o.Now()):
		return m, fmt.Errorf("%w: the calibration of master %s was due on %s: take another, or have it calibrated", gauge.ErrRefused, m.ID, m.Due.Format(time.DateOnly))
	}
	return m, nil
}

// studyText writes a value exactly; only what was read in another unit may be
// rounded, in the fifteenth decimal.
func studyText(l gauge.Length, u gauge.Unit) string {
	return strings.TrimSuffix(strings.TrimRight(l.Text(u, studyDecimals), "0"), ".")
}

// checkReadings takes the readings of stored checks.
func (s *Station) checkReadings(ctx context.Context, r StudyRequest) (readings []StudyReading, unit gauge.Unit, err error) {
	if !slices.Contains(fromChecks, r.Plan.Kind) {
		return nil, 0, fmt.Errorf("%w: a study of the kind %s cannot be made from checks, which know no parts and persons: it takes bias, linearity, stability or capability", gauge.ErrInput, r.Plan.Kind)
	}
	if r.Checks.Master != "" {
		if _, ok := s.o.Masters[r.Checks.Master]; !ok {
			return nil, 0, fmt.Errorf("%w: there is no master %q", gauge.ErrNotFound, r.Checks.Master)
		}
	}
	unit = cmp.Or(r.Unit, s.unitOf(r.Gauge), gauge.Millimetre)
	if unit.Kind() != gauge.KindLength {
		return nil, 0, fmt.Errorf("%w: checks are of lengths, not in %v", gauge.ErrInput, unit)
	}
	records, err := s.Checks(ctx, r.Gauge)
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
		return nil, 0, fmt.Errorf("%w: there are no checks of gauge %s that the study could take: check it, or ask for an earlier time", gauge.ErrRefused, r.Gauge)
	}
	return readings, unit, nil
}

func (s *Station) unitOf(gaugeID string) gauge.Unit {
	s.mu.RLock()
	defer s.mu.RUnlock()
	g := s.gauges[gaugeID]
	switch {
	case g == nil:
		return gauge.UnitUnknown
	case !g.Unit.Known() && g.Last.Reading != nil:
		return g.Last.Reading.Unit
	}
	return g.Unit
}

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

// studyColumns are the columns of the table of a study; those that are empty in
// every row are left out.
var studyColumns = []struct {
	name string
	of   func(StudyReading) string
}{
	{"value", func(r StudyReading) string { return r.Value }},
	{"part", func(r StudyReading) string { return cmp.Or(r.Part, r.Master) }},
	{"appraiser", func(r StudyReading) string { return r.Person }},
	{"trial", func(r StudyReading) string { return r.Trial }},
	{"group", func(r StudyReading) string { return r.Group }},
	{"day", func(r StudyReading) string { return r.Day }},
	{"run", func(r StudyReading) string { return r.Run }},
	{"time", func(r StudyReading) string { return r.Time }},
	{"reference", func(r StudyReading) string { return r.Known }},
}

// StudyTable is the table that a study is made of.
func StudyTable(gaugeID string, readings []StudyReading) (*study.Table, error) {
	var names []string
	rows := make([][]string, len(readings))
	for _, c := range studyColumns {
		if !slices.ContainsFunc(readings, func(r StudyReading) bool { return c.of(r) != "" }) {
			continue
		}
		names = append(names, c.name)
		for i, r := range readings {
			rows[i] = append(rows[i], c.of(r))
		}
	}
	return study.NewTable("readings of "+gaugeID, names, rows)
}
