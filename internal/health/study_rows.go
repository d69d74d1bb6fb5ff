package health

import (
	"errors"
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
		return nil, 0, gauge.WrongInput("refusal.study.empty")
	case len(r.Rows) > mostStudyRows:
		return nil, 0, gauge.WrongInput("refusal.study.too-many", gauge.Count("count", len(r.Rows)), gauge.Count("most", mostStudyRows))
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

// inRow says in which row a refusal is.
func inRow(row int, err error) error {
	var refused *gauge.Refusal
	if !errors.As(err, &refused) {
		return err
	}
	return &gauge.Refusal{Kind: refused.Kind, Message: gauge.Say("refusal.study.row", gauge.Count("row", row), gauge.Nested("why", refused.Message))}
}

// reading reads one row; the first one says the unit where nobody did.
func (r StudyRequest) reading(from StudySource, row StudyRow, unit *gauge.Unit) (one StudyReading, err error) {
	for _, label := range []string{row.Part, row.Person, row.Trial, row.Group, row.Day, row.Run, row.Time, row.Reference, row.Master} {
		if len(label) > longestLabel {
			return one, gauge.WrongInput("refusal.study.label", gauge.Text("label", strings.ToValidUTF8(label[:40], "")), gauge.Count("most", longestLabel))
		}
	}
	var value gauge.Length
	given := row.Unit
	switch {
	case (row.Seq == 0) == (row.Typed == ""):
		return one, gauge.WrongInput("refusal.study.one-value")
	case row.Seq > 0:
		read, err := from.Reading(row.Seq)
		if err != nil {
			return one, err
		}
		value, given = read.Value, read.Unit
		if row.Time == "" && r.Plan.Kind == study.StabilityKind {
			row.Time = read.Time.UTC().Format(time.RFC3339)
		}
	case !given.Known():
		return one, gauge.WrongInput("refusal.study.no-unit", gauge.Text("value", row.Typed))
	default:
		if value, err = gauge.ParseLength(row.Typed, given); err != nil {
			return one, gauge.AsInput(err)
		}
	}
	if !unit.Known() {
		*unit = given
	}
	if given.Kind() != unit.Kind() {
		return one, gauge.WrongInput("refusal.study.other-kind", gauge.Text("given", given.String()), gauge.Text("unit", unit.String()))
	}
	one = StudyReading{StudyRow: row, Value: studyText(value, *unit)}
	one.Known, err = from.known(row, *unit)
	return one, err
}

// known is the reference value of a row, empty when it has none.
func (from StudySource) known(row StudyRow, unit gauge.Unit) (string, error) {
	switch {
	case row.Reference != "" && row.Master != "":
		return "", gauge.WrongInput("refusal.study.two-references")
	case row.Reference != "":
		if _, err := study.ParseNumber(row.Reference); err != nil {
			return "", gauge.WrongInput("refusal.study.reference", gauge.Because("why", err))
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
		return "", gauge.WrongInput("refusal.study.master-length", gauge.Text("master", m.ID), gauge.Text("unit", unit.String()))
	}
	return studyText(m.Value, unit), nil
}

// studyText writes a value exactly; only what was read in another unit may be
// rounded, in the fifteenth decimal.
func studyText(l gauge.Length, u gauge.Unit) string {
	return strings.TrimSuffix(strings.TrimRight(l.Text(u, studyDecimals), "0"), ".")
}
