package study

import (
	"gauged/internal/gauge"
)

// Variation is the result of a study of repeatability and reproducibility.
type Variation struct {
	Design     string      `json:"design"` // crossed or nested
	Parts      int         `json:"parts"`  // of each appraiser when nested
	Appraisers int         `json:"appraisers"`
	Readings   int         `json:"readings"`
	Trials     int         `json:"trials"` // 0 when they are not equal
	Method     string      `json:"method"`
	Table      []Term      `json:"anova"`
	Pooled     bool        `json:"interaction_pooled"`
	PoolAbove  float64     `json:"pool_above_p"`
	Confidence float64     `json:"confidence"`
	Spread     float64     `json:"spread"`
	Tolerance  float64     `json:"tolerance,omitempty"`
	Components []Component `json:"components"`
	// Distinct is the number of distinct categories before it is cut to a whole number.
	Distinct         *float64        `json:"distinct_categories,omitempty"`
	DistinctInterval *Interval       `json:"distinct_categories_interval,omitempty"`
	Ranges           *Ranges         `json:"average_and_range,omitempty"`
	NoRanges         gauge.Message   `json:"no_average_and_range,omitzero"` // why not
	Verdict          *Verdict        `json:"verdict,omitempty"`
	Notes            []gauge.Message `json:"notes,omitempty"`
}

// Component returns the component of that name.
func (v *Variation) Component(name string) (Component, bool) {
	for _, c := range v.Components {
		if c.Name == name {
			return c, true
		}
	}
	return Component{}, false
}

// cells are the readings of a crossed study by part and appraiser.
type cells struct {
	parts, appraisers []string
	x                 [][][]float64 // [part][appraiser][repeat]
	n                 int           // all readings
	filled            int           // cells with a reading
	trials            int           // readings in each cell, 0 when not equal or a cell is empty
}

// Crossed studies parts that each appraiser measured several times: two-way
// analysis of variance with random effects (MSA manual; Montgomery and Runger
// 1993). Where cells are unequal or empty the components are those of
// Henderson's method 1. It refuses data that cannot tell the components apart.
func Crossed(d *Data, o Options) (*Variation, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	c, err := crossedCells(d)
	if err != nil {
		return nil, err
	}
	v := &Variation{
		Design: "crossed", Parts: len(c.parts), Appraisers: len(c.appraisers), Readings: c.n, Trials: c.trials,
		PoolAbove: o.PoolAbove, Confidence: o.Confidence, Spread: o.Spread, Tolerance: o.Tolerance,
	}
	v.note(d.leftOut()...)
	switch {
	case len(c.appraisers) == 1:
		v.oneAppraiser(c, o)
	case c.trials > 0:
		v.balanced(c, o)
	default:
		if err := v.unbalanced(c, o); err != nil {
			return nil, err
		}
	}
	v.Ranges, v.NoRanges = averageAndRange(c, o)
	return v, nil
}

func (v *Variation) note(m ...gauge.Message) { v.Notes = append(v.Notes, m...) }

// crossedCells sorts the readings into cells and refuses those that make no study.
func crossedCells(d *Data) (*cells, error) {
	if d.Summary {
		return nil, refused(d.File, "refusal.figures.crossed-means")
	}
	c := &cells{parts: distinct(d.Rows, func(r Row) string { return r.Part })}
	c.appraisers = distinct(d.Rows, func(r Row) string { return r.Appraiser })
	if err := c.sort(d); err != nil {
		return nil, err
	}
	if len(c.parts) < 2 {
		return nil, refused(d.File, "refusal.figures.one-part", gauge.Text("part", c.parts[0]))
	}
	return c, c.refuse(d.File)
}

func (c *cells) sort(d *Data) error {
	part, appraiser := indices(c.parts), indices(c.appraisers)
	c.x = make([][][]float64, len(c.parts))
	for i := range c.x {
		c.x[i] = make([][]float64, len(c.appraisers))
	}
	if err := d.repeated(); err != nil {
		return err
	}
	for _, r := range d.Rows {
		cell := &c.x[part[r.Part]][appraiser[r.Appraiser]]
		*cell = append(*cell, r.Value)
		c.n++
	}
	c.trials = len(c.x[0][0])
	for _, row := range c.x {
		for _, cell := range row {
			if len(cell) > 0 {
				c.filled++
			}
			if len(cell) != c.trials {
				c.trials = 0
			}
		}
	}
	return nil
}

func indices(labels []string) map[string]int {
	at := map[string]int{}
	for i, l := range labels {
		at[l] = i
	}
	return at
}

// refuse says why the cells cannot be studied.
func (c *cells) refuse(file string) error {
	repeats, scatter := 0, false
	for _, row := range c.x {
		for _, cell := range row {
			repeats = max(repeats, len(cell))
			for _, x := range cell {
				scatter = scatter || x != cell[0]
			}
		}
	}
	if repeats < 2 {
		return refused(file, "refusal.figures.crossed-once")
	}
	if !scatter {
		return refused(file, "refusal.figures.equal-repeats")
	}
	if apart := c.apart(); len(apart) > 0 {
		return refused(file, "refusal.figures.no-link", gauge.Text("appraiser", c.appraisers[0]), gauge.Texts("apart", apart))
	}
	return nil
}

// apart returns the appraisers that no chain of common parts links to the first.
func (c *cells) apart() []string {
	linked := make([]bool, len(c.appraisers))
	linked[0] = true
	for grown := true; grown; {
		grown = false
		for _, row := range c.x {
			touches := false
			for j, cell := range row {
				touches = touches || linked[j] && len(cell) > 0
			}
			for j, cell := range row {
				if touches && len(cell) > 0 && !linked[j] {
					linked[j], grown = true, true
				}
			}
		}
	}
	var apart []string
	for j, name := range c.appraisers {
		if !linked[j] {
			apart = append(apart, name)
		}
	}
	return apart
}
