package study

import (
	"fmt"
	"slices"

	"gauged/internal/gauge"
)

// Kind says what a study asks.
type Kind string

// The kinds of studies.
const (
	CrossedKind    Kind = "crossed"
	NestedKind     Kind = "nested"
	OneWayKind     Kind = "one-way"
	BiasKind       Kind = "bias"
	LinearityKind  Kind = "linearity"
	StabilityKind  Kind = "stability"
	CapabilityKind Kind = "capability"
)

// Kinds lists every kind.
var Kinds = []Kind{CrossedKind, NestedKind, OneWayKind, BiasKind, LinearityKind, StabilityKind, CapabilityKind}

// Plan is a study as it is asked for. The zero value of a field stands for its
// usual value; fields that the kind does not know are not looked at.
type Plan struct {
	Kind    Kind    `json:"kind"`
	Options Options `json:"options"`
	D2Star  float64 `json:"d2_star,omitempty"` // bias: divisor of the range
	Stated  float64 `json:"stated,omitempty"`  // one-way: standard deviation that all readings are tested against
	Indices Indices `json:"indices"`           // capability
	Use     Use     `json:"use"`               // nested over days and runs
}

// Read takes out of the table what the study needs. Columns may be nil.
func (p Plan) Read(t *Table, c Columns) (*Data, error) {
	switch p.Kind {
	case CrossedKind:
		return t.Data(c, []Role{Part, Appraiser, Trial}, []Role{Part, Appraiser})
	case NestedKind:
		if !overTime(t, c) {
			return t.Data(c, []Role{Appraiser, Part, Trial}, []Role{Appraiser, Part})
		}
		d, err := t.Data(c, []Role{Part, Run, Day, Gauge, Deviation, Repeats}, nil)
		if err == nil {
			d.overTime = true
		}
		return d, err
	case OneWayKind:
		return t.Data(c, []Role{Group, Deviation, Repeats}, []Role{Group})
	case BiasKind:
		return t.Data(c, []Role{Part, Reference}, []Role{Reference})
	case LinearityKind, CapabilityKind:
		return t.Data(c, []Role{Reference}, []Role{Reference})
	case StabilityKind:
		return t.Data(c, []Role{Part, Reference, Time}, nil)
	}
	return nil, gauge.WrongInput("refusal.figures.kind", gauge.Text("given", string(p.Kind)), gauge.Texts("kinds", KindNames()))
}

// overTime tells a nested study of days and runs from one of appraisers.
func overTime(t *Table, c Columns) bool {
	return c[Appraiser] == "" && (t.Finds(c, Run) || t.Finds(c, Day) && !t.Finds(c, Appraiser))
}

// Evaluate makes the study of data that Read has taken for the same kind.
func (p Plan) Evaluate(d *Data) (*Study, error) {
	s := &Study{Kind: p.Kind, Data: d}
	var err error
	switch p.Kind {
	case CrossedKind:
		s.Variation, err = Crossed(d, p.Options)
	case NestedKind:
		if d.overTime {
			s.Levels, err = NestedLevels(d, p.Use, p.Options)
		} else {
			s.Variation, err = Nested(d, p.Options)
		}
	case OneWayKind:
		s.OneWay, err = OneWay(d, p.Stated, p.Options)
	case BiasKind:
		s.Bias, err = Bias(d, p.D2Star, p.Options)
	case LinearityKind:
		s.Linearity, err = Linearity(d, p.Options)
	case StabilityKind:
		s.Stability, err = Stability(d, p.Options)
	case CapabilityKind:
		s.Capability, err = Capability(d, p.Indices, p.Options)
	default:
		err = gauge.WrongInput("refusal.figures.kind", gauge.Text("given", string(p.Kind)), gauge.Texts("kinds", KindNames()))
	}
	if err != nil {
		return nil, err
	}
	return s, nil
}

// NewTable makes a table of rows that are in no file. Errors name a row by
// name:row:1, the first row being 1.
func NewTable(name string, columns []string, rows [][]string) (*Table, error) {
	t := &Table{file: name, columns: slices.Clone(columns)}
	for i, cells := range rows {
		if len(cells) != len(columns) {
			return nil, refused(fmt.Sprintf("%s:%d:1", name, i+1), "refusal.figures.cells", gauge.Count("cells", len(cells)), gauge.Count("names", len(columns)))
		}
		t.rows = append(t.rows, tableRow{cells: cells, line: i + 1})
	}
	switch {
	case len(rows) == 0:
		return nil, refused(name, "refusal.figures.no-readings")
	case len(rows) > most:
		return nil, refused(name, "refusal.figures.many-rows", gauge.Count("most", most))
	}
	return t, nil
}
