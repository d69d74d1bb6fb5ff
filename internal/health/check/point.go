package check

import (
	"cmp"
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// PointResult is what follows from one point.
type PointResult struct {
	Master    string       `json:"master"`
	Falling   bool         `json:"falling,omitempty"`
	Mean      gauge.Length `json:"mean"`
	Reference gauge.Length `json:"reference"` // what a gauge without error would show
	Error     gauge.Length `json:"error"`
	Standard  float64      `json:"standard_uncertainty"` // of the error, in metres
	Spread    float64      `json:"spread"`               // standard deviation of the readings; 0 for one reading
	Repeats   int          `json:"repeats"`

	// Certificate is what of Standard comes from the certificate of the master, and
	// is the same in every check at it; in metres.
	Certificate float64 `json:"certificate_uncertainty,omitempty"`
	// Freedom is the effective degrees of freedom of Standard; 0: infinite.
	Freedom float64 `json:"effective_freedom,omitempty"`
	// K makes the expanded uncertainty of Standard; 0, in a check that was stored
	// before each point had its own, stands for 2.
	K float64 `json:"k,omitempty"`
	// Within is the probability that the error is within the limit; nil without a
	// limit, and where ScatterUnknown.
	Within *uncertainty.Probability `json:"within,omitempty"`
	// Verdict is empty in a check that was stored before each point had its own.
	Verdict Verdict `json:"verdict,omitempty"`
	// ScatterUnknown says that nothing tells how well the gauge repeats here: one
	// reading, or equal ones of a display whose step is not stated, and no usual scatter.
	ScatterUnknown bool `json:"scatter_unknown,omitempty"`
	// ScatterLarger says that the repeats scatter more than the usual scatter of the
	// gauge lets them; Spread then counts, and not the usual one.
	ScatterLarger bool `json:"scatter_larger,omitempty"`
	// Unstated is how far off Reference may be because the temperature is known, and the
	// expansion of master or scale is not stated; it counts as uncertainty.
	Unstated *gauge.Length `json:"expansion_unstated,omitempty"`
	// Uncorrected is the same in a check that was stored when nothing was corrected then.
	Uncorrected *gauge.Length `json:"uncorrected,omitempty"`
}

// oldK is the coverage factor of checks that were stored without one.
const oldK = 2

// Coverage is the factor of Expanded.
func (p PointResult) Coverage() float64 { return cmp.Or(p.K, oldK) }

// Expanded is the expanded uncertainty of the error, of level of confidence 95 %,
// rounded to a picometre.
func (p PointResult) Expanded() gauge.Length {
	return gauge.OfMetres(p.Coverage() * p.Standard)
}

// point compares the readings at one master with its value.
func (in Input) point(p Point) PointResult {
	one := PointResult{
		Master: p.Master.ID, Falling: p.Falling, Mean: gauge.Mean(p.Readings...),
		Reference: in.reference(p.Master), Unstated: in.unstated(p.Master), Repeats: len(p.Readings),
	}
	one.Error = one.Mean - one.Reference
	if one.Repeats > 1 {
		one.Spread = uncertainty.ScatterOf(uncertainty.FromFirst(p.Readings)).SD / 1e12
	}
	scatter, larger := in.scatter(p.Readings)
	one.ScatterLarger = larger
	b := in.budget(p.Master, one.Repeats, scatter)
	one.Standard, one.K = b.Standard, rounded(b.Coverage(confidence), 1e3)
	if !math.IsInf(b.Freedom, 1) {
		one.Freedom = rounded(b.Freedom, 1e3)
	}
	if len(b.Contributions) > 0 && b.Contributions[0].Name == certificate {
		one.Certificate = b.Contributions[0].Standard
	}
	one.ScatterUnknown = in.Ability.Repeats == nil && (one.Repeats < 2 || one.Spread == 0 && in.Ability.Resolution == nil)
	return one
}

// scatter is that of a single reading, in metres: the usual one, or that of the
// readings themselves.
func (in Input) scatter(readings []gauge.Length) (s uncertainty.Scatter, larger bool) {
	repeats, step := uncertainty.FromFirst(readings), 0.0
	s = uncertainty.ScatterOf(repeats)
	if usual := in.Ability.Repeats; usual != nil {
		if in.Ability.Resolution != nil {
			step = float64(*in.Ability.Resolution)
		}
		s, larger = uncertainty.Scatter{SD: float64(usual.Deviation), DoF: usual.Freedom}.Counts(repeats, step)
	}
	s.SD /= 1e12
	return s, larger
}

// confidence is the level of the expanded uncertainties.
const confidence = 0.95

const certificate = "certificate of the master"

// budget adds up what is in doubt about the error at a point, after JCGM 100:2008,
// 5.1.2: the master's certificate, the scatter, the step of the display, the
// temperature and the coefficients (H.1.3). The scatter has its degrees of
// freedom, all else infinite ones (G.4.2).
func (in Input) budget(m Master, repeats int, scatter uncertainty.Scatter) uncertainty.Budget {
	var inputs []uncertainty.Input
	add := func(name string, standard float64, d uncertainty.Distribution, freedom int) {
		inputs = append(inputs, uncertainty.Input{Name: name, Standard: standard, Distribution: d, Freedom: float64(freedom)})
	}
	if c := m.Certified; c != nil && c.K > 0 {
		add(certificate, uncertainty.FromExpanded(c.Uncertainty.Metres(), one(c.K)), uncertainty.Normal, 0)
	}
	add("scatter of the readings", scatter.SD/math.Sqrt(float64(repeats)), uncertainty.Student, scatter.DoF)
	if step := in.Ability.Resolution; step != nil {
		add("step of the display", uncertainty.Resolution(step.Metres()), uncertainty.Rectangular, 0)
	}
	in.thermal(m, func(name string, halfWidth float64, d uncertainty.Distribution) {
		add(name, uncertainty.FromHalfWidth(math.Abs(halfWidth), d), d, 0)
	})
	each := make([]float64, len(inputs))
	for i := range each {
		each[i] = 1
	}
	b, err := uncertainty.Combine(inputs, each)
	if err != nil {
		panic("master: " + err.Error()) // lengths are finite, and nothing else is in it
	}
	return b
}

// rounded has so many parts of one, so that it is the same bytes on every machine.
func rounded(x, parts float64) float64 { return math.Round(x*parts) / parts }
