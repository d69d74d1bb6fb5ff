package studychart

import (
	"math"

	"gauged/internal/chart"
	"gauged/internal/health/study"
)

// groups draws the readings of each group and their means.
func (p *painter) groups() chart.Chart {
	names, at := inOrder(p.Data.Rows, func(r study.Row) string { return r.Group })
	from, to := 0.5, float64(len(names))+0.5
	c := chart.Chart{
		Title: p.title("groups"), Up: p.in("reading"), Along: p.text("group"), Ticks: ticks(names), From: from, To: to,
		Description: p.shows("groups", p.OneWay.Readings, len(names)),
		Lines:       []chart.Line{level(p.text("mean-of-all-readings")+" "+p.known(p.OneWay.Mean, p.OneWay.Residual/math.Sqrt(float64(p.OneWay.Readings))), '-', "12 4", from, to, p.OneWay.Mean)},
	}
	means := chart.Marks{Name: p.text("mean-of-the-group"), Rune: 'o', Shape: chart.Diamond}
	for _, g := range p.OneWay.Groups {
		means.Points = append(means.Points, chart.Point{X: at[g.Name], Y: g.Mean})
	}
	c.Marks = []chart.Marks{means, p.dots(func(r study.Row) float64 { return at[r.Group] })} // the readings on top, where they can be touched
	return c
}

// inTurn are the readings in their order, as y says.
func (p *painter) inTurn(rows []study.Row, name string, y func(study.Row) float64) chart.Marks {
	m := chart.Marks{Name: name, Rune: 'o', Shape: chart.Circle}
	for i, r := range rows {
		m.Points = append(m.Points, p.reading(float64(i+1), y(r), r))
	}
	return m
}

func unlabelled(int) string { return "" }

// bias draws the errors in their order, with the interval of their mean.
func (p *painter) bias() chart.Chart {
	r, n := p.Bias, len(p.Data.Rows)
	from, to := 0.5, float64(n)+0.5
	between, u := r.ByDeviation.Interval, r.ByDeviation.Error
	name := p.text("interval-of-the-bias", p.plain(100*r.Confidence))
	return chart.Chart{
		Title: p.title("bias"), Up: p.in("error"), Along: p.text("reading"), Ticks: counted(n, unlabelled), From: from, To: to,
		Description: p.shows("bias", n, p.known(r.Bias, u), p.known(between.Low, u), p.known(between.High, u), p.plain(100*r.Confidence)),
		Lines: []chart.Line{
			level(p.text("no-error"), '-', "", from, to, 0), level(p.text("bias")+" "+p.known(r.Bias, u), '=', "12 4", from, to, r.Bias),
			level(name+", "+p.text("upper-end")+" "+p.known(between.High, u), '\'', "2 4", from, to, between.High),
			level(name+", "+p.text("lower-end")+" "+p.known(between.Low, u), ',', "2 4", from, to, between.Low),
		},
		Marks: []chart.Marks{p.inTurn(p.Data.Rows, p.text("error-of-a-reading"), func(r study.Row) float64 { return r.Error })},
	}
}

// linearity draws the errors over the reference values, with the line and its band.
func (p *painter) linearity() chart.Chart {
	r := p.Linearity
	low, high := r.Points[0].Reference, r.Points[len(r.Points)-1].Reference
	room := (high - low) / 30
	c := chart.Chart{
		Title: p.title("linearity"), Up: p.in("error"), Along: p.in("reference-value"), From: low - room, To: high + room,
		Description: p.shows("linearity", r.Readings, len(r.Points), p.known(r.Change, r.Line.SlopeErr*(high-low)), p.plain(100*r.Confidence)),
		Ticks:       chart.Ticks(low, high, 6, p.words.Number),
		Lines:       append([]chart.Line{level(p.text("no-error"), '-', "", low, high, 0)}, p.band(low, high)...),
	}
	errs, means := chart.Marks{Name: p.text("error-of-a-reading"), Rune: '.', Shape: chart.Dot}, chart.Marks{Name: p.text("mean-error"), Rune: 'o', Shape: chart.Circle}
	for _, row := range p.Data.Rows {
		errs.Points = append(errs.Points, p.reading(row.Reference, row.Error, row))
	}
	for _, at := range r.Points {
		means.Points = append(means.Points, chart.Point{X: at.Reference, Y: at.Error})
	}
	c.Marks = []chart.Marks{means, errs}
	return c
}

// band is the line through the errors and the ends of its band.
func (p *painter) band(low, high float64) []chart.Line {
	var x, y []float64
	for _, row := range p.Data.Rows {
		x, y = append(x, row.Reference), append(y, row.Error)
	}
	fitted := study.Fit(x, y)
	first := p.Linearity.Points[0]
	at, standard := fitted.At(first.Reference)
	factor := (first.Band.High - at) / standard
	const steps = 40
	var line, upper, lower []chart.Point
	for i := range steps + 1 {
		x := low + (high-low)*float64(i)/steps
		value, u := fitted.At(x)
		line = append(line, chart.Point{X: x, Y: value})
		upper, lower = append(upper, chart.Point{X: x, Y: value + factor*u}), append(lower, chart.Point{X: x, Y: value - factor*u})
	}
	name := p.text("band-of-the-line", p.plain(100*p.Linearity.Confidence))
	return []chart.Line{
		{Name: p.text("line-through-the-errors"), Rune: '=', Dash: "12 4", Points: line},
		{Name: name + ", " + p.text("upper-end"), Rune: '\'', Dash: "2 4", Points: upper},
		{Name: name + ", " + p.text("lower-end"), Rune: ',', Dash: "2 4", Points: lower},
	}
}

// stability draws the readings in their order with the limits.
func (p *painter) stability() chart.Chart {
	r, rows := p.Stability, p.Data.At(p.Stability.Part) // of the worst master
	n := len(rows)
	u := r.Deviation / math.Sqrt(float64(n)) // of the mean, about that of the limits
	what, y := "reading", p.value
	if p.Data.Has(study.Reference) {
		what, y = "error", func(row study.Row) float64 { return row.Error }
	}
	from, to := 0.5, float64(n)+0.5
	series := p.inTurn(rows, p.text(what), y)
	series.Joined = true
	title := p.title("run-chart")
	if r.Part != "" {
		title += ": " + r.Part
	}
	c := chart.Chart{
		Title: title, Up: p.in(what), Along: p.text("reading"), Ticks: counted(n, func(i int) string { return rows[i].Time }), From: from, To: to,
		Description: p.shows("run-chart", n, p.known(r.Lower, u), p.known(r.Upper, u), len(r.Outside)),
		Lines: []chart.Line{
			limit(p.text("upper-limit")+" "+p.known(r.Upper, u), '=', "12 4", from, to, r.Upper),
			level(p.text("mean")+" "+p.known(r.Mean, u), '-', "3 3", from, to, r.Mean), limit(p.text("lower-limit")+" "+p.known(r.Lower, u), '=', "12 4", from, to, r.Lower),
		},
		Marks: []chart.Marks{series}, Near: []float64{r.Lower, r.Upper},
	}
	if len(r.Outside) > 0 {
		out := chart.Marks{Name: p.text("outside-the-limits"), Rune: 'X', Shape: chart.Square}
		for _, one := range r.Outside {
			out.Points = append(out.Points, chart.Point{X: float64(one.Number), Y: one.Value})
		}
		c.Marks = append(c.Marks, out)
	}
	return c
}

// capability draws the readings of the master against its share of the tolerance.
func (p *painter) capability() chart.Chart {
	r, n := p.Capability, len(p.Data.Rows)
	from, to := 0.5, float64(n)+0.5
	half, u := r.Percent/200*r.Tolerance, r.Deviation/math.Sqrt(float64(n))
	share := p.text("of-the-tolerance", p.plain(r.Percent))
	return chart.Chart{
		Title: p.title("readings"), Up: p.in("reading"), Along: p.text("reading"), Ticks: counted(n, unlabelled), From: from, To: to,
		Description: p.shows("readings", n, p.number(*r.Reference), p.known(*r.Mean, u), p.scattered(r.Deviation, n), p.index(r.Cg, n), p.index(r.Cgk, n)),
		Lines: []chart.Line{
			level(p.text("reference-value")+" "+p.number(*r.Reference), '-', "", from, to, *r.Reference), level(p.text("mean")+" "+p.known(*r.Mean, u), '=', "12 4", from, to, *r.Mean),
			limit(share+", "+p.text("upper-end")+" "+p.number(*r.Reference+half), '\'', "2 4", from, to, *r.Reference+half), limit(share+", "+p.text("lower-end")+" "+p.number(*r.Reference-half), ',', "2 4", from, to, *r.Reference-half),
		},
		Marks: []chart.Marks{p.inTurn(p.Data.Rows, p.text("reading"), p.value)},
		Near:  []float64{*r.Reference - half, *r.Reference + half},
	}
}
