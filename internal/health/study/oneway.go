package study

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// OneWayResult is a one-way analysis of variance (e-Handbook, 1.3.5.4, 7.4.3).
type OneWayResult struct {
	Groups     []GroupMean `json:"groups"`
	Readings   int         `json:"readings"`
	Table      []Term      `json:"anova"`
	Confidence float64     `json:"confidence"`
	CriticalF  float64     `json:"critical_f"` // that F exceeds with 1 - confidence when the groups are alike
	RSquared   float64     `json:"r_squared"`
	// Residual is the standard deviation within groups.
	Residual         float64   `json:"residual_standard_deviation"`
	ResidualInterval *Interval `json:"residual_interval"`
	Mean             float64   `json:"mean"`
	// Between is the standard deviation between groups that were drawn at random.
	Between         float64   `json:"between_standard_deviation"`
	BetweenNegative bool      `json:"between_negative"`
	BetweenEstimate float64   `json:"between_variance"` // as it was estimated, below 0 too
	BetweenInterval *Interval `json:"between_interval,omitempty"`
	// MeanPooled is the standard uncertainty of the mean when groups are alike,
	// MeanRandom when they differ at random (JCGM 100, H.5.2); nil when unequal.
	MeanPooled Standard        `json:"mean_uncertainty_groups_alike"`
	MeanRandom *Standard       `json:"mean_uncertainty_groups_random,omitempty"`
	Stated     *Stated         `json:"stated_deviation,omitempty"`
	Notes      []gauge.Message `json:"notes,omitempty"`
}

// Standard is a standard uncertainty with its degrees of freedom.
type Standard struct {
	Uncertainty float64 `json:"standard_uncertainty"`
	Freedom     float64 `json:"freedom"`
}

// GroupMean is a group with its mean and the standard error of that, from the
// scatter within all groups.
type GroupMean struct {
	Name      string   `json:"name"`
	Count     int      `json:"count"`
	Mean      float64  `json:"mean"`
	Deviation *float64 `json:"standard_deviation,omitempty"` // nil for one reading
	Error     float64  `json:"standard_error"`
}

// Stated is the test of the standard deviation of all readings against a
// stated one (chi-square; e-Handbook, 1.3.5.8).
type Stated struct {
	Deviation float64  `json:"stated"`
	Found     float64  `json:"found"`
	ChiSquare float64  `json:"chi_square"`
	Freedom   float64  `json:"freedom"`
	Between   Interval `json:"not_rejected_between"`
	P         float64  `json:"p"` // two-sided
}

// group is readings, or the means of repeats, of one group.
type group struct {
	name   string
	n      int     // readings
	within float64 // sum of squares within
	mean   float64
}

// OneWay studies groups of readings. A group may be given as the mean of
// repeats with their standard deviation.
func OneWay(d *Data, stated float64, o Options) (*OneWayResult, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	groups := groupsOf(d)
	a := groupedSums(groups)
	if err := refuseOneWay(d, groups, a); err != nil {
		return nil, err
	}
	r := &OneWayResult{Confidence: o.Confidence, Table: []Term{a.between, a.within, a.total}, Mean: a.mean + d.Origin}
	for _, g := range groups {
		r.Readings += g.n
		m := GroupMean{Name: g.name, Count: g.n, Mean: g.mean + d.Origin, Error: math.Sqrt(a.within.Mean / float64(g.n))}
		if g.n > 1 {
			sd := math.Sqrt(g.within / float64(g.n-1))
			m.Deviation = &sd
		}
		r.Groups = append(r.Groups, m)
	}
	r.CriticalF = uncertainty.FQuantile(o.Confidence, a.between.Freedom, a.within.Freedom)
	r.RSquared = a.between.Sum / a.total.Sum
	r.Residual = math.Sqrt(a.within.Mean)
	r.ResidualInterval = a.within.square().interval(o.Confidence).root()
	r.between(a, groups, o)
	r.MeanPooled = Standard{math.Sqrt(a.total.Mean / float64(r.Readings)), a.total.Freedom}
	if stated > 0 {
		r.Stated = againstStated(a.total, stated, o.Confidence)
	}
	r.Notes = append(r.Notes, d.leftOut()...)
	return r, nil
}

// between fills in what holds for groups that were drawn at random.
func (r *OneWayResult) between(a oneWay, groups []group, o Options) {
	squares := []MeanSquare{a.between.square(), a.within.square()}
	weights := []float64{1 / a.size, -1 / a.size}
	v := combine(squares, weights).Value
	r.BetweenNegative, r.BetweenEstimate, r.Between = v < 0, v, math.Sqrt(max(0, v))
	if r.BetweenNegative {
		r.Notes = append(r.Notes, belowZero(gauge.Word("of", "study.groups"), v))
	}
	for _, g := range groups {
		if g.n != groups[0].n {
			r.Notes = append(r.Notes, gauge.Say("noted.unequal_groups"))
			return
		}
	}
	r.BetweenInterval = modifiedLargeSample(squares, weights, o.Confidence).root()
	r.MeanRandom = &Standard{math.Sqrt(a.between.Mean / float64(r.Readings)), a.between.Freedom}
}

// groupsOf sorts the rows into groups.
func groupsOf(d *Data) []group {
	var groups []group
	for _, name := range distinct(d.Rows, func(r Row) string { return r.Group }) {
		groups = append(groups, group{name: name})
	}
	at := map[string]int{}
	for i, g := range groups {
		at[g.name] = i
	}
	x, weights := make([][]float64, len(groups)), make([][]float64, len(groups))
	for _, r := range d.Rows {
		i := at[r.Group]
		x[i], weights[i] = append(x[i], r.Value), append(weights[i], float64(r.Repeats))
		groups[i].n += r.Repeats
		groups[i].within += square(r.Deviation) * float64(r.Repeats-1)
	}
	for i := range groups {
		mean, between := weighted(x[i], weights[i])
		groups[i].mean = mean
		groups[i].within += between
	}
	return groups
}

// weighted returns the weighted mean, corrected once by the mean of the
// residuals, and the weighted sum of squares about it.
func weighted(x, weights []float64) (mean, sum float64) {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	for range 2 {
		rest := 0.0
		for i, v := range x {
			rest += weights[i] * (v - mean)
		}
		mean += rest / total
	}
	for i, v := range x {
		sum += weights[i] * square(v-mean)
	}
	return mean, sum
}

// groupedSums is oneWaySums for groups that may be means of repeats.
func groupedSums(groups []group) oneWay {
	var means, counts []float64
	inside, n, sizes := 0.0, 0.0, 0.0
	for _, g := range groups {
		count := float64(g.n)
		means, counts = append(means, g.mean), append(counts, count)
		inside += g.within
		n += count
		sizes += count * count
	}
	mean, outside := weighted(means, counts)
	k := float64(len(groups))
	a := oneWay{
		mean: mean, size: (n - sizes/n) / (k - 1),
		between: newTerm("between groups", outside, k-1), within: newTerm("within groups", inside, n-k),
		total: newTerm(Total, outside+inside, n-1),
	}
	a.between.against(a.within)
	return a
}

func refuseOneWay(d *Data, groups []group, a oneWay) error {
	if len(groups) < 2 {
		return refused(d.File, "refusal.figures.one-group", gauge.Text("group", groups[0].name))
	}
	if a.within.Freedom == 0 {
		return refused(d.File, "refusal.figures.groups-of-one")
	}
	for _, g := range groups {
		if g.within > 0 {
			return nil
		}
	}
	return refused(d.File, "refusal.figures.equal-groups")
}

func againstStated(total Term, stated, confidence float64) *Stated {
	chi := total.Freedom * total.Mean / square(stated)
	tail := (1 - confidence) / 2
	below := mathext.GammaIncReg(total.Freedom/2, chi/2)
	return &Stated{
		Deviation: stated, Found: math.Sqrt(total.Mean), ChiSquare: chi, Freedom: total.Freedom,
		Between: Interval{Low: uncertainty.ChiSquareQuantile(tail, total.Freedom), High: uncertainty.ChiSquareQuantile(1-tail, total.Freedom)},
		P:       min(1, 2*min(below, mathext.GammaIncRegComp(total.Freedom/2, chi/2))),
	}
}
