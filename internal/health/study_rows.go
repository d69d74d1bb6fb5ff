package health

import (
	"errors"
	"fmt"
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

// readings brings the rows of a request into the unit of the study.
func (r StudyRequest) readings(from StudySource) (all []StudyReading, unit gauge.Unit, err error) {
	switch {
	case len(r.Rows) == 0:
		return nil, 0, fmt.Errorf("%w: a study needs readings", gauge.ErrInput)
	case len(r.Rows) > mostStudyRows:
		return nil, 0, fmt.Errorf("%w: %d readings are more than the %d of one study", gauge.ErrInput, len(r.Rows), mostStudyRows)
	}
	unit = r.Unit
	for i, row := range r.Rows {
		one, err := r.reading(from, row, &unit)
		if err != nil {
			return nil, 0, inRow(i+1, err)
		}
		all = append(all, one)
	}
	return all, unit, nil
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

// reading reads one row; the first one says the unit where nobody did.
func (r StudyRequest) reading(from StudySource, row StudyRow, unit *gauge.Unit) (one StudyReading, err error) {
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
		read, err := from.Reading(row.Seq)
		if err != nil {
			return one, fmt.Errorf("%w: reading %d: %w", gauge.ErrNotFound, row.Seq, err)
		}
		if read.Gauge != r.Gauge {
			return one, fmt.Errorf("%w: reading %d is of %s, not of %s", gauge.ErrInput, row.Seq, read.Gauge, r.Gauge)
		}
		value, given = read.Value, read.Unit
		if row.Time == "" && r.Plan.Kind == study.StabilityKind {
			row.Time = read.Time.UTC().Format(time.RFC3339)
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
	one.Known, err = from.known(row, *unit)
	return one, err
}

// known is the reference value of a row, empty when it has none.
func (from StudySource) known(row StudyRow, unit gauge.Unit) (string, error) {
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
	m, err := check.Usable(from.Masters, row.Master, from.Now)
	switch {
	case err != nil:
		return "", err
	case unit.Kind() != gauge.KindLength:
		return "", fmt.Errorf("%w: master %s is a length, the readings are in %v", gauge.ErrInput, m.ID, unit)
	}
	return studyText(m.Value, unit), nil
}

// studyText writes a value exactly; only what was read in another unit may be
// rounded, in the fifteenth decimal.
func studyText(l gauge.Length, u gauge.Unit) string {
	return strings.TrimSuffix(strings.TrimRight(l.Text(u, studyDecimals), "0"), ".")
}
