package studychart

import (
	"math"
	"slices"
	"strconv"

	"gauged/internal/chart"
	"gauged/internal/health/study"
	"gauged/internal/uncertainty"
)

func part(r study.Row) string   { return r.Part }
func person(r study.Row) string { return r.Appraiser }

// cell is the readings of one part by one person.
type cell struct{ part, person string }

func (p *painter) cells() map[cell][]float64 {
	cells := map[cell][]float64{}
	for _, r := range p.Data.Rows {
		c := cell{r.Part, r.Appraiser}
		cells[c] = append(cells[c], p.value(r))
	}
	return cells
}

// byPart draws every reading, and for each person a line through the means.
func (p *painter) byPart() chart.Chart {
	parts, at := inOrder(p.Data.Rows, part)
	people, turn := inOrder(p.Data.Rows, person)
	cells := p.cells()
	c := chart.Chart{
		Title: p.title("by-part"), Up: p.in("reading"), Along: p.text("part"), Ticks: ticks(parts), From: 0.5, To: float64(len(parts)) + 0.5,
		Description: p.shows("by-part", len(p.Data.Rows), len(parts), len(people)),
	}
	for i, who := range people {
		marks := chart.Marks{Name: p.legend(who), Rune: letter(i), Shape: shape(i), Dash: dash(i), Joined: true}
		for _, of := range parts {
			if readings := cells[cell{of, who}]; len(readings) > 0 {
				mean, _ := uncertainty.MeanStdDev(readings)
				marks.Points = append(marks.Points, chart.Point{X: at[of] + aside(i, len(people)), Y: mean})
			}
		}
		c.Marks = append(c.Marks, marks)
	}
	c.Marks = append(c.Marks, p.dots(func(r study.Row) float64 { return at[r.Part] + aside(int(turn[r.Appraiser])-1, len(people)) }))
	return c
}

// dots are all readings. They are drawn last, over the means, so that each can be touched.
func (p *painter) dots(x func(study.Row) float64) chart.Marks {
	m := chart.Marks{Name: p.text("reading"), Rune: '.', Shape: chart.Dot}
	for _, r := range p.Data.Rows {
		m.Points = append(m.Points, p.reading(x(r), p.value(r), r))
	}
	return m
}

// ranges draws by how much the repeats of each part and person differ.
func (p *painter) ranges() chart.Chart {
	parts, at := inOrder(p.Data.Rows, part)
	people, _ := inOrder(p.Data.Rows, person)
	cells := p.cells()
	from, to := 0.5, float64(len(parts))+0.5
	c := chart.Chart{
		Title: p.title("ranges"), Up: p.in("range"), Along: p.text("part"), Ticks: ticks(parts), From: from, To: to,
		Description: p.shows("ranges"),
	}
	c.Lines = append(c.Lines, level("", '-', "", from, to, 0))
	if r := p.Variation.Ranges; r != nil {
		c.Near = []float64{0, r.UpperRange}
		u := 1 / math.Sqrt(float64(len(cells))) // of a mean range in the range, about: one range scatters by up to as much as it is
		c.Lines = append(c.Lines, limit(p.text("upper-limit")+" "+p.known(r.UpperRange, u*r.UpperRange), '=', "12 4", from, to, r.UpperRange),
			level(p.text("mean-range")+" "+p.known(r.MeanRange, u*r.MeanRange), '-', "3 3", from, to, r.MeanRange))
	}
	for i, who := range people {
		marks := chart.Marks{Name: who, Rune: letter(i), Shape: shape(i)}
		for _, of := range parts {
			if readings := cells[cell{of, who}]; len(readings) > 1 {
				marks.Points = append(marks.Points, chart.Point{X: at[of] + aside(i, len(people)), Y: slices.Max(readings) - slices.Min(readings)})
			}
		}
		c.Marks = append(c.Marks, marks)
	}
	return c
}

// aside moves the marks of people apart, so that equal ones do not hide each other.
func aside(i, n int) float64 { return 0.5 * (float64(i) - float64(n-1)/2) / float64(max(n, 1)) }

// byPerson draws the parts of each person side by side.
func (p *painter) byPerson() chart.Chart {
	people, _ := inOrder(p.Data.Rows, person)
	own := func(r study.Row) string { return r.Appraiser + "\x00" + r.Part }
	var sorted []study.Row
	for _, who := range people {
		for _, r := range p.Data.Rows {
			if r.Appraiser == who {
				sorted = append(sorted, r)
			}
		}
	}
	places, at := inOrder(sorted, own)
	c := chart.Chart{
		Title: p.title("by-person"), Up: p.in("reading"), Along: p.text("person"), From: 0.5, To: float64(len(places)) + 0.5,
		Description: p.shows("by-person", len(sorted), len(places), len(people)),
	}
	for i, who := range people {
		readings := map[float64][]float64{}
		for _, r := range sorted {
			if r.Appraiser == who {
				readings[at[own(r)]] = append(readings[at[own(r)]], p.value(r))
			}
		}
		marks := chart.Marks{Name: p.legend(who), Rune: letter(i), Shape: shape(i), Dash: dash(i), Joined: true}
		sum := 0.0
		for x := 1.0; x <= float64(len(places)); x++ {
			if r := readings[x]; len(r) > 0 {
				mean, _ := uncertainty.MeanStdDev(r)
				marks.Points = append(marks.Points, chart.Point{X: x, Y: mean})
				sum += x
			}
		}
		c.Marks = append(c.Marks, marks)
		c.Ticks = append(c.Ticks, chart.Tick{X: sum / float64(len(marks.Points)), Label: who})
	}
	c.Marks = append(c.Marks, p.dots(func(r study.Row) float64 { return at[own(r)] }))
	return c
}

// components draws the shares of the variation.
func (p *painter) components(v *study.Variation) chart.Bars {
	b := chart.Bars{
		Title: p.title("components"), Along: p.text("percent"), Value: p.percent,
		Description: p.shows("components"),
		Series:      []chart.Series{{Name: p.text("contribution-of-the-variance"), Rune: '#'}, {Name: p.text("of-the-studys-variation"), Rune: '='}},
	}
	if v.Tolerance > 0 {
		b.Series = append(b.Series, chart.Series{Name: p.text("share-of-the-tolerance"), Rune: '-'})
		b.Along = p.text("percent-of-the-tolerance", p.plain(v.Spread))
	}
	for _, c := range v.Components {
		if c.Name == study.Total {
			continue
		}
		g := chart.Group{Label: p.source(c.Name), Values: []float64{c.Contribution, c.StudyVariation}}
		if c.Tolerance != nil {
			g.Values = append(g.Values, *c.Tolerance)
		}
		b.Groups = append(b.Groups, g)
	}
	return b
}

// percent writes a share in percent.
func (p *painter) percent(x float64) string {
	return p.words.Number(strconv.FormatFloat(x, 'f', 1, 64)) + " %"
}

// levels draws what repeats, days and runs add.
func (p *painter) levels(l *study.Levels) chart.Bars {
	b := chart.Bars{
		Title: p.title("levels"), Along: p.in("standard-deviation"),
		Description: p.shows("levels"),
		Series:      []chart.Series{{Name: p.text("standard-deviation"), Rune: '#'}},
	}
	freedom := 0 // of the repeats: nothing here is known better
	for _, g := range l.Gauges {
		add := func(what string, deviation float64) {
			if g.Gauge != "" {
				what = g.Gauge + ": " + what
			}
			b.Groups = append(b.Groups, chart.Group{Label: what, Values: []float64{deviation}})
		}
		freedom = max(freedom, g.Level1.Freedom)
		add(p.text("repeats"), g.Level1.Deviation)
		add(p.text("days"), g.ByDay.Deviation)
		if g.ByRun != nil {
			add(p.text("runs"), g.ByRun.Deviation)
		}
	}
	b.Value = func(x float64) string { return p.scattered(x, freedom+1) }
	return b
}
