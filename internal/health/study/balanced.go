package study

import (
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// groupings of a study with all components.
var (
	partOnly = grouping{ByPart, []string{ByPart}}
	gaugeAll = grouping{RepeatAndRepro, []string{Repeatability, ByAppraiser, Interaction}}
	whole    = grouping{Total, []string{Repeatability, ByAppraiser, Interaction, ByPart}}
)

func groupings(interaction bool) []grouping {
	groups := []grouping{
		gaugeAll,
		{Repeatability, []string{Repeatability}},
		{Reproducibility, []string{ByAppraiser, Interaction}},
		{ByAppraiser, []string{ByAppraiser}},
	}
	if interaction {
		groups = append(groups, grouping{Interaction, []string{Interaction}})
	}
	return append(groups, partOnly, whole)
}

// sums are the sums of squares and degrees of freedom of a crossed study.
type sums struct {
	part, appraiser, interaction, repeatability Term
	total                                       Term
}

// balancedSums does the analysis of variance of equal cells.
func balancedSums(c *cells) sums {
	p, o, n := len(c.parts), len(c.appraisers), c.trials
	byPart, byAppraiser := make([][]float64, p), make([][]float64, o)
	var all []float64
	within := 0.0
	for i, row := range c.x {
		for j, cell := range row {
			byPart[i] = append(byPart[i], cell...)
			byAppraiser[j] = append(byAppraiser[j], cell...)
			all = append(all, cell...)
			within += squares(cell)
		}
	}
	grand, _ := uncertainty.MeanStdDev(all)
	partMean, appraiserMean := means(byPart), means(byAppraiser)
	part, appraiser, interaction := 0.0, 0.0, 0.0
	for i, row := range c.x {
		part += square(partMean[i] - grand)
		for j, m := range means(row) {
			interaction += square(m - partMean[i] - appraiserMean[j] + grand)
		}
	}
	for _, m := range appraiserMean {
		appraiser += square(m - grand)
	}
	count := func(k int) float64 { return float64(k) }
	return sums{
		part:          newTerm(ByPart, count(o*n)*part, count(p-1)),
		appraiser:     newTerm(ByAppraiser, count(p*n)*appraiser, count(o-1)),
		interaction:   newTerm(Interaction, count(n)*interaction, count((p-1)*(o-1))),
		repeatability: newTerm(Repeatability, within, count(p*o*(n-1))),
		total:         newTerm(Total, squares(all), count(p*o*n-1)),
	}
}

func square(x float64) float64 { return x * x }

// squares is the sum of the squared deviations from the mean.
func squares(x []float64) float64 {
	if len(x) < 2 {
		return 0
	}
	_, sd := uncertainty.MeanStdDev(x)
	return float64(len(x)-1) * sd * sd
}

func means(groups [][]float64) []float64 {
	all := make([]float64, len(groups))
	for i, g := range groups {
		all[i], _ = uncertainty.MeanStdDev(g)
	}
	return all
}

// pool joins the interaction and the repeatability.
func pool(interaction, repeatability Term) Term {
	return newTerm("repeatability, with the interaction", interaction.Sum+repeatability.Sum, interaction.Freedom+repeatability.Freedom)
}

// balanced fills in the study of equal cells.
func (v *Variation) balanced(c *cells, o Options) {
	v.Method = "analysis of variance, two-way, random effects"
	s := balancedSums(c)
	s.interaction.against(s.repeatability)
	v.Pooled = s.interaction.F.P > o.PoolAbove
	m := v.test(&s)
	p, a, n := float64(v.Parts), float64(v.Appraisers), float64(v.Trials)
	if v.Pooled {
		m.leaves = []leaf{
			estimated(Repeatability, m.squares, 0, 0, 1),
			estimated(ByAppraiser, m.squares, 0, 1/(p*n), -1/(p*n)),
			estimated(ByPart, m.squares, 1/(a*n), 0, -1/(a*n)),
		}
	} else {
		m.leaves = []leaf{
			estimated(Repeatability, m.squares, 0, 0, 0, 1),
			estimated(ByAppraiser, m.squares, 0, 1/(p*n), -1/(p*n), 0),
			estimated(Interaction, m.squares, 0, 0, 1/n, -1/n),
			estimated(ByPart, m.squares, 1/(a*n), 0, -1/(a*n), 0),
		}
	}
	v.finish(m, groupings(!v.Pooled), gaugeAll, o)
}

// test fills in the table with its F tests and returns the mean squares that
// the components are made of.
func (v *Variation) test(s *sums) model {
	if v.Pooled {
		pooled := pool(s.interaction, s.repeatability)
		s.part.against(pooled)
		s.appraiser.against(pooled)
		v.Table = []Term{s.part, s.appraiser, s.interaction, s.repeatability, pooled, s.total}
		return model{squares: []MeanSquare{s.part.square(), s.appraiser.square(), pooled.square()}}
	}
	s.part.against(s.interaction)
	s.appraiser.against(s.interaction)
	v.Table = []Term{s.part, s.appraiser, s.interaction, s.repeatability, s.total}
	return model{squares: []MeanSquare{s.part.square(), s.appraiser.square(), s.interaction.square(), s.repeatability.square()}}
}

// oneAppraiser fills in what one appraiser can tell: repeatability and parts.
func (v *Variation) oneAppraiser(c *cells, o Options) {
	v.Method = "analysis of variance, one-way, random effects"
	var groups [][]float64
	for _, row := range c.x {
		groups = append(groups, row[0])
	}
	a := oneWaySums(groups, ByPart, Repeatability)
	v.Table = []Term{a.between, a.within, a.total}
	m := model{squares: []MeanSquare{a.between.square(), a.within.square()}}
	m.leaves = []leaf{
		estimated(Repeatability, m.squares, 0, 1),
		estimated(ByPart, m.squares, 1/a.size, -1/a.size),
	}
	if c.trials == 0 {
		m.leaves[1].weights = nil
	}
	v.finish(m, []grouping{{Repeatability, []string{Repeatability}}, partOnly, whole}, grouping{Repeatability, []string{Repeatability}}, o)
	v.Distinct, v.DistinctInterval, v.Verdict = nil, nil, nil
	v.note(gauge.Say("noted.one_appraiser"))
}

// finish fills in the components, the categories and the verdict.
func (v *Variation) finish(m model, groups []grouping, ofGauge grouping, o Options) {
	v.Components = m.components(groups, o)
	for i := range v.Components {
		c := &v.Components[i]
		if c.Name == ofGauge.name {
			c.StudyInterval = m.ratio(ofGauge, groups[len(groups)-1], o)
		}
		if c.Negative {
			v.note(belowZero(gauge.WordOf("of", "study.source", c.Name), c.Estimate))
		}
	}
	v.categories(ofGauge.name)
	v.judge(ofGauge.name)
}
