package study

import (
	"fmt"

	"gonum.org/v1/gonum/mat"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// unbalanced fills in a study whose cells are unequal or empty. The components
// are Henderson's method 1: sums of squares of parts, of appraisers and of
// cells, each by itself, set equal to what they are expected to be (Henderson
// 1953; Searle, "Linear Models", 1971, chapter 10; from memory). They are
// unbiased for random effects and those of the balanced study when cells are
// equal. Only the repeatability has an interval. The interaction is tested by
// what it adds to a fit of parts and appraisers; that test is exact.
func (v *Variation) unbalanced(c *cells, o Options) error {
	v.Method = "analysis of variance, two-way, random effects, unequal cells (Henderson's method 1)"
	s, err := sequentialSums(c)
	if err != nil {
		return err
	}
	if s.interaction.Freedom > 0 {
		s.interaction.against(s.repeatability)
		v.Pooled = s.interaction.F.P > o.PoolAbove
	} else {
		v.Pooled = true
		v.note(gauge.Say("noted.no_interaction"))
	}
	estimates, err := henderson(c, s, v.Pooled)
	if err != nil {
		return err
	}
	v.Table = []Term{s.part, s.appraiser, s.interaction, s.repeatability, s.total}
	within := s.repeatability
	if v.Pooled {
		within = pool(s.interaction, s.repeatability)
		v.Table = []Term{s.part, s.appraiser, s.interaction, s.repeatability, within, s.total}
	}
	m := model{squares: []MeanSquare{within.square()}}
	m.leaves = []leaf{
		estimated(Repeatability, m.squares, 1),
		{name: ByPart, estimate: estimates[0]},
		{name: ByAppraiser, estimate: estimates[1]},
	}
	if !v.Pooled {
		m.leaves = append(m.leaves, leaf{name: Interaction, estimate: estimates[2]})
	}
	if empty := len(c.parts)*len(c.appraisers) - c.filled; empty > 0 {
		v.note(gauge.Say("noted.empty_cells", gauge.Count("empty", empty), gauge.Count("cells", len(c.parts)*len(c.appraisers))))
	}
	v.note(gauge.Say("noted.unequal_cells"))
	v.finish(m, groupings(!v.Pooled), gaugeAll, o)
	return nil
}

// tally is the counts and sums of a crossed study, by part, appraiser and cell.
type tally struct {
	n                   [][]float64
	partN, appraiserN   []float64
	partSum, apprSum    []float64
	cellSum             [][]float64
	total, filled, mean float64
}

func (c *cells) tally() tally {
	var all []float64
	for _, row := range c.x {
		for _, cell := range row {
			all = append(all, cell...)
		}
	}
	t := tally{total: float64(c.n), filled: float64(c.filled)}
	t.mean, _ = uncertainty.MeanStdDev(all)
	t.partN, t.partSum = make([]float64, len(c.parts)), make([]float64, len(c.parts))
	t.appraiserN, t.apprSum = make([]float64, len(c.appraisers)), make([]float64, len(c.appraisers))
	for i, row := range c.x {
		t.n = append(t.n, make([]float64, len(row)))
		t.cellSum = append(t.cellSum, make([]float64, len(row)))
		for j, cell := range row {
			k := float64(len(cell))
			t.n[i][j] = k
			for _, x := range cell {
				t.cellSum[i][j] += x - t.mean
			}
			t.partN[i] += k
			t.appraiserN[j] += k
			t.partSum[i] += t.cellSum[i][j]
			t.apprSum[j] += t.cellSum[i][j]
		}
	}
	return t
}

// sequentialSums are the sums of parts, of appraisers beyond them, of the
// interaction beyond both, and within cells.
func sequentialSums(c *cells) (sums, error) {
	t := c.tally()
	within, parts, between := 0.0, 0.0, 0.0
	var all []float64
	for i, row := range c.x {
		parts += square(t.partSum[i]) / t.partN[i]
		for j, cell := range row {
			within += squares(cell)
			all = append(all, cell...)
			if len(cell) > 0 {
				between += square(t.cellSum[i][j]) / t.n[i][j]
			}
		}
	}
	beyond, err := t.appraisersBeyondParts()
	if err != nil {
		return sums{}, err
	}
	p, o := float64(len(c.parts)), float64(len(c.appraisers))
	return sums{
		part:          newTerm(ByPart, parts, p-1),
		appraiser:     newTerm(ByAppraiser, beyond, o-1),
		interaction:   newTerm(Interaction, max(0, between-parts-beyond), t.filled-p-o+1),
		repeatability: newTerm(Repeatability, within, t.total-t.filled),
		total:         newTerm(Total, squares(all), t.total-1),
	}, nil
}

// appraisersBeyondParts is what appraisers explain that parts do not: the
// normal equations with the parts taken out, the last appraiser being 0.
func (t tally) appraisersBeyondParts() (float64, error) {
	o := len(t.appraiserN) - 1
	a := mat.NewSymDense(o, nil)
	q := mat.NewVecDense(o, nil)
	for j := range o {
		sum := t.apprSum[j]
		for i, n := range t.n {
			sum -= n[j] * t.partSum[i] / t.partN[i]
		}
		q.SetVec(j, sum)
		for k := j; k < o; k++ {
			x := 0.0
			if j == k {
				x = t.appraiserN[j]
			}
			for i, n := range t.n {
				x -= n[j] * n[k] / t.partN[i]
			}
			a.SetSym(j, k, x)
		}
	}
	var cholesky mat.Cholesky
	if !cholesky.Factorize(a) {
		return 0, gauge.WrongInput("refusal.figures.few-common-parts")
	}
	var effects mat.VecDense
	if err := cholesky.SolveVecTo(&effects, q); err != nil {
		return 0, fmt.Errorf("telling appraisers apart from parts: %w", err)
	}
	return mat.Dot(&effects, q), nil
}

// henderson returns the variances of part, appraiser and, unless pooled, their interaction.
func henderson(c *cells, s sums, pooled bool) ([]float64, error) {
	t := c.tally()
	var k1, k2, k3, k4, k23 float64 // as in Searle
	var ta, tb, tab float64
	for i := range t.partN {
		squaresOfRow := 0.0
		for j := range t.appraiserN {
			squaresOfRow += square(t.n[i][j])
			k4 += square(t.n[i][j]) / t.appraiserN[j]
			if t.n[i][j] > 0 {
				tab += square(t.cellSum[i][j]) / t.n[i][j]
			}
		}
		k1 += square(t.partN[i]) / t.total
		k3 += squaresOfRow / t.partN[i]
		k23 += squaresOfRow / t.total
		ta += square(t.partSum[i]) / t.partN[i]
	}
	for j := range t.appraiserN {
		k2 += square(t.appraiserN[j]) / t.total
		tb += square(t.apprSum[j]) / t.appraiserN[j]
	}
	p, o, n := float64(len(t.partN)), float64(len(t.appraiserN)), t.total
	e := s.repeatability.Mean
	if pooled {
		e = pool(s.interaction, s.repeatability).Mean
	}
	size := 3
	coefficients := []float64{n - k1, k3 - k2, k3 - k23, k4 - k1, n - k2, k4 - k23, k1 - k4, k2 - k3, n - k3 - k4 + k23}
	found := []float64{ta - (p-1)*e, tb - (o-1)*e, tab - ta - tb - (t.filled-p-o+1)*e}
	if pooled {
		size, found = 2, found[:2]
		coefficients = []float64{n - k1, k3 - k2, k4 - k1, n - k2}
	}
	var estimates mat.VecDense
	if err := estimates.SolveVec(mat.NewDense(size, size, coefficients), mat.NewVecDense(size, found)); err != nil {
		return nil, gauge.WrongInput("refusal.figures.unequal-cells")
	}
	return estimates.RawVector().Data, nil
}
