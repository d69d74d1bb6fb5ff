package study

import (
	"gauged/internal/gauge"
)

// PartWithin is a part of one appraiser.
const PartWithin = "part within appraiser"

// Nested studies appraisers who each measured parts of their own several
// times: nested analysis of variance with random effects (Montgomery, "Design
// and Analysis of Experiments", nested designs; from memory). Unequal counts
// have the coefficients of Searle, "Linear Models", 1971, chapter 10 (from
// memory), which are those of equal ones when they are equal.
func Nested(d *Data, o Options) (*Variation, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	n, err := nests(d)
	if err != nil {
		return nil, err
	}
	v := &Variation{
		Design: "nested", Parts: len(n.x[0]), Appraisers: len(n.appraisers), Readings: len(d.Rows), Trials: n.trials,
		Method: "analysis of variance, parts nested within appraisers, random effects", PoolAbove: 1,
		Confidence: o.Confidence, Spread: o.Spread, Tolerance: o.Tolerance,
	}
	v.note(d.leftOut()...)
	v.note(gauge.Say("noted.parts_of_each"))
	s := n.sums()
	s.appraiser.against(s.part)
	s.part.against(s.within)
	v.Table = []Term{s.appraiser, s.part, s.within, s.total}
	m := model{squares: []MeanSquare{s.appraiser.square(), s.part.square(), s.within.square()}}
	m.leaves = []leaf{
		estimated(Repeatability, m.squares, 0, 0, 1),
		estimated(ByAppraiser, m.squares, 1/s.c3, -s.c2/(s.c1*s.c3), (s.c2/s.c1-1)/s.c3),
		estimated(ByPart, m.squares, 0, 1/s.c1, -1/s.c1),
	}
	if n.trials == 0 {
		m.leaves[1].weights, m.leaves[2].weights = nil, nil
		v.note(gauge.Say("noted.unequal_counts"))
	}
	ofGauge := grouping{RepeatAndRepro, []string{Repeatability, ByAppraiser}}
	v.finish(m, []grouping{
		ofGauge,
		{Repeatability, []string{Repeatability}},
		{Reproducibility, []string{ByAppraiser}},
		partOnly,
		{Total, []string{Repeatability, ByAppraiser, ByPart}},
	}, ofGauge, o)
	v.NoRanges = gauge.Say("noranges.crossed_only")
	return v, nil
}

// nest are the readings of a nested study by appraiser and part.
type nest struct {
	appraisers []string
	x          [][][]float64 // [appraiser][part][repeat]
	trials     int           // 0 when not equal, or the parts are not
}

func nests(d *Data) (*nest, error) {
	if d.Summary {
		return nil, refused(d.File, "refusal.figures.nested-means")
	}
	n := &nest{appraisers: distinct(d.Rows, func(r Row) string { return r.Appraiser })}
	at := indices(n.appraisers)
	n.x = make([][][]float64, len(n.appraisers))
	if err := d.repeated(); err != nil {
		return nil, err
	}
	parts := map[[2]string]int{}
	for _, r := range d.Rows {
		of := &n.x[at[r.Appraiser]]
		key := [2]string{r.Appraiser, r.Part}
		i, ok := parts[key]
		if !ok {
			i = len(*of)
			parts[key] = i
			*of = append(*of, nil)
		}
		(*of)[i] = append((*of)[i], r.Value)
	}
	return n, n.refuse(d.File)
}

func (n *nest) refuse(file string) error {
	if len(n.appraisers) < 2 {
		return refused(file, "refusal.figures.one-appraiser", gauge.Text("appraiser", n.appraisers[0]))
	}
	n.trials = len(n.x[0][0])
	most, several, scatter := 0, false, false
	for _, parts := range n.x {
		several = several || len(parts) > 1
		for _, cell := range parts {
			most = max(most, len(cell))
			if len(cell) != n.trials || len(parts) != len(n.x[0]) {
				n.trials = 0
			}
			scatter = scatter || spread(cell) > 0
		}
	}
	switch {
	case most < 2:
		return refused(file, "refusal.figures.nested-once")
	case !several:
		return refused(file, "refusal.figures.one-part-each")
	case !scatter:
		return refused(file, "refusal.figures.equal-repeats")
	}
	return nil
}

// nestedSums are the sums of squares, and how often the variances of parts (c1
// in the parts' mean square, c2 in the appraisers') and appraisers (c3) are in them.
type nestedSums struct {
	appraiser, part, within, total Term
	c1, c2, c3                     float64
}

func (n *nest) sums() nestedSums {
	var byAppraiser [][]float64
	var partSum, within, parts, total float64
	var ratio, squaresOfCells, squaresOfAppraisers float64
	for _, own := range n.x {
		var all []float64
		cells := 0.0
		for _, cell := range own {
			all = append(all, cell...)
			within += squares(cell)
			cells += square(float64(len(cell)))
		}
		a := oneWaySums(own, PartWithin, Repeatability)
		partSum += a.between.Sum
		parts += float64(len(own))
		total += float64(len(all))
		ratio += cells / float64(len(all))
		squaresOfCells += cells
		squaresOfAppraisers += square(float64(len(all)))
		byAppraiser = append(byAppraiser, all)
	}
	a := oneWaySums(byAppraiser, ByAppraiser, "")
	k := float64(len(n.x))
	return nestedSums{
		appraiser: a.between, part: newTerm(PartWithin, partSum, parts-k),
		within: newTerm(Repeatability, within, total-parts), total: a.total,
		c1: (total - ratio) / (parts - k),
		c2: (ratio - squaresOfCells/total) / (k - 1),
		c3: (total - squaresOfAppraisers/total) / (k - 1),
	}
}
