package qif

import (
	"cmp"
	"fmt"
	"slices"

	gaugedv1 "gauged/api/gauged/v1"
)

// characteristic is what has a value: a measurement, a sum, or a result with limits.
type characteristic struct {
	name, title string
	after       bool
	value       *gaugedv1.Quantity
	mark        string // the value, where a mark was read
	between     *gaugedv1.Range
	allowed     *gaugedv1.Range
	wanted      string // the mark that is wanted
	outcome     gaugedv1.Outcome
	probability *float64
	uncertainty *gaugedv1.Quantity // standard
	gauges      []string
	discarded   int
}

// characteristics are the measurements, then the sums that are not judged, then what is.
func (b *builder) characteristics() (all []characteristic) {
	for _, m := range b.e.GetMeasurements() {
		if m.GetValue() == nil && m.GetMark() == "" {
			continue
		}
		c := characteristic{name: m.GetName(), title: b.title(m.GetName()), after: m.GetAfterFitting(), value: m.GetValue(), mark: m.GetMark(), between: m.GetBetween()}
		for _, r := range m.GetReadings() {
			if r.GetDiscardReason() != "" {
				c.discarded++
			} else if name := instrument(r); name != "" && !slices.Contains(c.gauges, name) {
				c.gauges = append(c.gauges, name)
			}
		}
		all = append(all, c)
	}
	judged := map[string]bool{}
	for _, j := range b.e.GetJudgements() {
		judged[sumOf(j)] = true
	}
	for _, s := range b.e.GetSums() {
		if s.GetValue() != nil && !judged[s.GetName()] {
			all = append(all, characteristic{name: s.GetName(), value: s.GetValue(), between: s.GetBetween(), uncertainty: b.uncertainty(s.GetName())})
		}
	}
	for _, j := range b.e.GetJudgements() {
		all = append(all, characteristic{
			name: j.GetName(), title: j.GetTitle(), after: j.GetAfterFitting(), value: j.GetValue(), mark: j.GetMark(), between: j.GetBetween(),
			allowed: j.GetAllowed(), wanted: j.GetWanted(), outcome: j.GetOutcome(), probability: j.Probability, uncertainty: b.uncertainty(sumOf(j)),
		})
	}
	return all
}

// sumOf is the line of arithmetic that a judged result stands in: where a part was
// fitted, the play that was measured is there beside the one that was predicted.
func sumOf(j *gaugedv1.Judgement) string {
	name := j.GetName()
	if name != "play" && name != "preload" || !j.GetAfterFitting() {
		return name
	}
	return "verified " + name
}

func (b *builder) uncertainty(result string) *gaugedv1.Quantity {
	for _, budget := range b.e.GetBudgets() {
		if budget.GetResult() == result {
			return budget.GetStandardUncertainty()
		}
	}
	return nil
}

func (b *builder) title(measurement string) string {
	for _, steps := range [][]*gaugedv1.MeasurementStep{b.p.GetMeasure(), b.p.GetVerify()} {
		for _, step := range steps {
			if step.GetName() == measurement {
				return step.GetTitle()
			}
		}
	}
	return ""
}

// aspect is what QIF tells of one characteristic, in four elements.
type aspect struct {
	definition  definition
	nominal     nominal
	item        item
	measurement measurement
}

func (b *builder) aspect(c characteristic, unit int) *aspect {
	name := token(c.name)
	a := &aspect{
		definition:  definition{ID: b.id(), Name: name},
		nominal:     nominal{ID: b.id(), Name: name},
		item:        item{ID: b.id(), Name: name},
		measurement: measurement{ID: b.id(), Attributes: c.about(), Status: c.status(), Component: unit, Devices: b.devicesOf(c)},
	}
	a.nominal.Definition, a.item.Nominal, a.measurement.Item = a.definition.ID, a.nominal.ID, a.item.ID
	kind := b.fill(a, c)
	a.definition.XMLName.Local = kind + "CharacteristicDefinition"
	a.nominal.XMLName.Local = kind + "CharacteristicNominal"
	a.item.XMLName.Local = kind + "CharacteristicItem"
	a.measurement.XMLName.Local = kind + "CharacteristicMeasurement"
	return a
}

// fill sets limits and values, and returns which kind of characteristic has them.
func (b *builder) fill(a *aspect, c characteristic) (kind string) {
	least, most := c.allowed.GetMin(), c.allowed.GetMax()
	switch {
	case c.value != nil && isLength(c.value.GetUnit()):
		a.definition.What = cmp.Or(c.title, c.name)
		a.definition.None = "MEASURED"
		if c.allowed != nil {
			a.definition.None, a.definition.Tolerance = "", &tolerance{Max: b.number(most), Min: b.number(least), AsLimit: true}
		}
		b.measured(&a.measurement, c)
		return "UserDefinedLinear"
	case c.value != nil && least != nil && most != nil:
		yes := true
		a.nominal.Target, a.nominal.Max, a.nominal.Min, a.nominal.AsLimit = b.middle(least, most), b.number(most), b.number(least), &yes
		b.measured(&a.measurement, c)
		return "UserDefinedUnit"
	}
	a.definition.What = cmp.Or(c.title, c.name)
	if c.wanted != "" {
		a.nominal.Pass = &texts{1, []string{c.wanted}}
	}
	a.measurement.Value = cmp.Or(c.mark, inWords(c.value))
	return "UserDefinedAttribute"
}

// about is what is said of a value besides. Limits and uncertainty of a value that is
// written as text stand here too.
func (c characteristic) about() *attributes {
	pairs := []string{"title", c.title}
	if c.after {
		pairs = append(pairs, "after fitting", "true")
	}
	if c.outcome != gaugedv1.Outcome_OUTCOME_UNSPECIFIED {
		pairs = append(pairs, "outcome", code(c.outcome, "OUTCOME_"))
	}
	if c.probability != nil {
		pairs = append(pairs, "probability within limits", fmt.Sprintf("%.4f", *c.probability))
	}
	if c.discarded > 0 {
		pairs = append(pairs, "readings that do not count", fmt.Sprint(c.discarded))
	}
	if c.value == nil || !isLength(c.value.GetUnit()) {
		pairs = append(pairs, "not below", inWords(c.allowed.GetMin()), "not above", inWords(c.allowed.GetMax()), "standard uncertainty", inWords(c.uncertainty))
	}
	return said(pairs...)
}

// measured sets a value with its standard uncertainty, and between which ends it lies
// where a reading was an interval.
func (b *builder) measured(m *measurement, c characteristic) {
	v := b.number(c.value)
	if c.uncertainty != nil {
		v.Uncertainty = digits(c.uncertainty, c.value.GetUnit())
	}
	m.Value = v
	m.Max, m.Min = b.number(c.between.GetMax()), b.number(c.between.GetMin())
}

func (b *builder) devicesOf(c characteristic) *references {
	if len(c.gauges) == 0 {
		return nil
	}
	all := &references{N: len(c.gauges)}
	for _, g := range c.gauges {
		all.IDs = append(all.IDs, b.devices[g])
	}
	slices.Sort(all.IDs)
	return all
}

func (c characteristic) status() status {
	switch c.outcome {
	case gaugedv1.Outcome_OUTCOME_UNSPECIFIED:
		return status{Known: "NOT_ANALYZED"}
	case gaugedv1.Outcome_OUTCOME_CONFORMS:
		return status{Known: "PASS"}
	case gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM, gaugedv1.Outcome_OUTCOME_WRONG_PART:
		return status{Known: "FAIL"}
	case gaugedv1.Outcome_OUTCOME_UNDECIDED:
		return status{Known: "INDETERMINATE"}
	default:
		return status{Other: code(c.outcome, "OUTCOME_")}
	}
}
