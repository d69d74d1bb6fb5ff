package study

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Indices is what decides the indices of one gauge; the zero value of a field
// stands for its usual value.
type Indices struct {
	Percent float64 `json:"percent_of_tolerance"` // of the tolerance that the spread may take, 20
	Spread  float64 `json:"spread"`               // standard deviations that make the spread, 6
	Least   float64 `json:"least"`                // both indices must reach, 1.33
}

// CapabilityResult is the indices of one gauge that read one master again and
// again (common practice, no source).
type CapabilityResult struct {
	Readings  int      `json:"readings"`
	Reference *float64 `json:"reference,omitempty"`
	Mean      *float64 `json:"mean,omitempty"`
	Tolerance float64  `json:"tolerance"`
	Indices
	Confidence        float64         `json:"confidence"`
	Deviation         float64         `json:"standard_deviation"`
	DeviationInterval *Interval       `json:"standard_deviation_interval"`
	Bias              float64         `json:"bias"`
	BiasTest          BiasTest        `json:"bias_test"`
	Cg                float64         `json:"cg"`
	CgInterval        *Interval       `json:"cg_interval"`
	Cgk               float64         `json:"cgk"`
	CgkInterval       *Interval       `json:"cgk_interval"`
	Verdict           Verdict         `json:"verdict"`
	Notes             []gauge.Message `json:"notes,omitempty"`
}

const (
	fewestOfMaster = 10 // readings of the master that make an index
	fewOfMaster    = 25 // below which it is rough
)

// Capability studies repeat readings of one master with the reference value.
func Capability(d *Data, x Indices, o Options) (*CapabilityResult, error) {
	if o.Tolerance == 0 {
		return nil, refused(d.File, "refusal.figures.no-tolerance")
	}
	b, err := Bias(d, 0, o)
	if err != nil {
		return nil, err
	}
	o, _ = o.with() // Bias has looked at it
	switch {
	case b.Reference == nil:
		return nil, refused(d.File, "refusal.figures.references-differ")
	case b.Readings < fewestOfMaster:
		return nil, refused(d.File, "refusal.figures.few-of-master", gauge.Count("count", b.Readings), gauge.Count("need", fewestOfMaster), gauge.Count("better", fewOfMaster))
	}
	x, err = x.with()
	if err != nil {
		return nil, err
	}
	n := float64(b.Readings)
	s := b.ByDeviation.Deviation
	r := &CapabilityResult{
		Readings: b.Readings, Reference: b.Reference, Mean: b.Mean, Tolerance: o.Tolerance, Indices: x, Confidence: o.Confidence,
		Deviation: s, DeviationInterval: MeanSquare{Value: s * s, Freedom: n - 1}.interval(o.Confidence).root(),
		Bias: b.Bias, BiasTest: b.ByDeviation, Notes: b.Notes,
	}
	allowed := x.Percent / 100 * o.Tolerance
	r.Cg = allowed / (x.Spread * s)
	r.CgInterval = &Interval{Low: allowed / (x.Spread * r.DeviationInterval.High), High: allowed / (x.Spread * r.DeviationInterval.Low)}
	r.Cgk = (allowed/2 - math.Abs(r.Bias)) / (x.Spread / 2 * s)
	// As for an index with a one-sided distance (Bissell 1990, from memory).
	half := uncertainty.NormalQuantile((1+o.Confidence)/2) * math.Sqrt(square(2/x.Spread)/n+square(r.Cgk)/(2*(n-1)))
	r.CgkInterval = &Interval{Low: r.Cgk - half, High: r.Cgk + half}
	if b.Readings < fewOfMaster {
		r.Notes = append(r.Notes, gauge.Say("noted.rough_indices", gauge.Count("readings", b.Readings), gauge.Count("least", fewOfMaster)))
	}
	r.judge()
	return r, nil
}

func (x Indices) with() (Indices, error) {
	for _, f := range []struct {
		field *float64
		usual float64
	}{{&x.Percent, 20}, {&x.Spread, 6}, {&x.Least, 1.33}} {
		if *f.field == 0 {
			*f.field = f.usual
		}
	}
	if !(x.Percent > 0 && x.Percent <= 100) || !(x.Spread > 0 && x.Spread <= 20) || !(x.Least > 0 && x.Least < 1e6) {
		return x, gauge.WrongInput("refusal.figures.indices", gauge.Shown("percent", Number(x.Percent), gauge.UnitUnknown), gauge.Shown("spread", Number(x.Spread), gauge.UnitUnknown), gauge.Shown("index", Number(x.Least), gauge.UnitUnknown))
	}
	return x, nil
}

func (r *CapabilityResult) capable() bool { return min(r.Cg, r.Cgk) >= r.Least }

func (r *CapabilityResult) judge() {
	low, high := min(r.CgInterval.Low, r.CgkInterval.Low), min(r.CgInterval.High, r.CgkInterval.High)
	code := "judged.not_capable"
	if r.capable() {
		code = "judged.capable"
	}
	least := formatted("least", r.Least, 'g', -1)
	text := gauge.Say(code, formatted("cg", r.Cg, 'f', 2), formatted("cgk", r.Cgk, 'f', 2))
	if low < r.Least && high >= r.Least {
		text = gauge.Sentences(text, gauge.Say("judged.unsettled", trust(r.Confidence), least))
	}
	r.Verdict = Verdict{
		Text: text, Origin: gauge.Say("ruled.origin-practice"),
		Rule: gauge.Say("ruled.capability", formatted("percent", r.Percent, 'g', -1), formatted("spread", r.Indices.Spread, 'g', -1),
			formatted("half", r.Indices.Spread/2, 'g', -1), least),
	}
}
