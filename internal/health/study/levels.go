package study

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Levels is the nested study over time of the e-Handbook, 2.4.3 and 2.6.3:
// repeats within a day (level 1), days within a run (level 2), runs (level 3),
// each on several check standards.
type Levels struct {
	Gauges     []GaugeLevels   `json:"gauges"`
	Confidence float64         `json:"confidence"`
	Notes      []gauge.Message `json:"notes,omitempty"`
}

// Level is a pooled standard deviation with its degrees of freedom.
type Level struct {
	Deviation float64   `json:"standard_deviation"`
	Freedom   int       `json:"freedom"`
	Interval  *Interval `json:"interval,omitempty"`
}

// GaugeLevels are the levels of one gauge.
type GaugeLevels struct {
	Gauge   string     `json:"gauge,omitempty"`
	Runs    []RunLevel `json:"runs"`
	Level1  Level      `json:"level1"` // standard deviation of repeats
	Level2  Level      `json:"level2"` // of means of days
	Level3  *Level     `json:"level3"` // of means of runs; nil with one run
	Repeats float64    `json:"repeats_of_a_day"`
	Days    float64    `json:"days_of_a_run"`
	// ByDay and ByRun are the standard deviations of the days and the runs by
	// themselves.
	ByDay Remainder  `json:"days"`
	ByRun *Remainder `json:"runs_component"`
	// Bias is the difference from the mean of all gauges; nil for one gauge.
	Bias   *GaugeBias  `json:"bias,omitempty"`
	Budget ErrorBudget `json:"budget"`
}

// Remainder is what is left of a level when the levels below were taken out.
type Remainder struct {
	Deviation float64 `json:"standard_deviation"`
	Negative  bool    `json:"negative"` // the variance came out below 0 and 0 stands for it
	Estimate  float64 `json:"variance"` // as it was estimated, below 0 too
}

// RunLevel are the levels 1 and 2 of one run.
type RunLevel struct {
	Run    string   `json:"run"`
	Level1 Level    `json:"level1"`
	Level2 Level    `json:"level2"`
	Bias   *float64 `json:"bias,omitempty"`
}

// GaugeBias is the difference of a gauge from the mean of all gauges
// (e-Handbook, 2.4.5.3 and 2.6.3.2).
type GaugeBias struct {
	Mean      float64  `json:"mean"`
	Deviation float64  `json:"standard_deviation"` // of the differences
	Count     int      `json:"count"`              // one for each check standard and run
	Error     float64  `json:"standard_error"`
	Interval  Interval `json:"interval"`
	Test      TTest    `json:"t_test"`
}

// day is the repeats of one day on one check standard in one run.
type day struct {
	mean    float64
	scatter uncertainty.Scatter
	repeats int
}

// setKey names the days that belong together.
type setKey struct{ gauge, part, run string }

// NestedLevels studies repeats on several days of one or more runs. Rows with a
// standard deviation are one day each; single readings belong to the day they
// name. Used is how the gauge will be used.
func NestedLevels(d *Data, used Use, o Options) (*Levels, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	sets, err := setsOf(d)
	if err != nil {
		return nil, err
	}
	l := &Levels{Confidence: o.Confidence}
	l.Notes = append(l.Notes, d.leftOut()...)
	gauges := distinct(d.Rows, func(r Row) string { return r.Gauge })
	runs := distinct(d.Rows, func(r Row) string { return r.Run })
	parts := distinct(d.Rows, func(r Row) string { return r.Part })
	biases, missing := biasesOf(sets, gauges, parts, runs)
	if !missing.IsZero() {
		l.Notes = append(l.Notes, missing)
	}
	for _, g := range gauges {
		levels, err := gaugeLevels(d.File, g, sets, parts, runs, o)
		if err != nil {
			return nil, err
		}
		levels.addBias(biases[g], o)
		levels.Budget = levels.budget(used, o)
		l.Notes = append(l.Notes, levels.belowZero()...)
		l.Gauges = append(l.Gauges, *levels)
	}
	return l, nil
}

// setsOf sorts the rows into days.
func setsOf(d *Data) (map[setKey][]day, error) {
	sets := map[setKey][]day{}
	if d.Summary {
		for _, r := range d.Rows {
			k := setKey{r.Gauge, r.Part, r.Run}
			sets[k] = append(sets[k], day{mean: r.Value, scatter: uncertainty.Scatter{SD: r.Deviation, DoF: r.Repeats - 1}, repeats: r.Repeats})
		}
		return sets, nil
	}
	if !d.Has(Day) {
		return nil, refused(d.File, "refusal.figures.no-day")
	}
	type dayKey struct {
		setKey
		day string
	}
	readings := map[dayKey][]float64{}
	var order []dayKey
	for _, r := range d.Rows {
		k := dayKey{setKey{r.Gauge, r.Part, r.Run}, r.Day}
		if readings[k] == nil {
			order = append(order, k)
		}
		readings[k] = append(readings[k], r.Value)
	}
	for _, k := range order {
		x := readings[k]
		mean, _ := uncertainty.MeanStdDev(x)
		sets[k.setKey] = append(sets[k.setKey], day{mean: mean, scatter: uncertainty.ScatterOf(x), repeats: len(x)})
	}
	return sets, nil
}

// dayMeans are the means of the days of a set.
func dayMeans(days []day) []float64 {
	var x []float64
	for _, d := range days {
		x = append(x, d.mean)
	}
	return x
}

// gaugeLevels pools the levels of one gauge.
func gaugeLevels(file, gauge string, sets map[setKey][]day, parts, runs []string, o Options) (*GaugeLevels, error) {
	l := &GaugeLevels{Gauge: gauge}
	var level1, level2, level3 []uncertainty.Scatter
	var w weightsOfLevels
	for _, run := range runs {
		var ofRun1, ofRun2 []uncertainty.Scatter
		for _, part := range parts {
			days := sets[setKey{gauge, part, run}]
			if len(days) == 0 {
				continue
			}
			for _, d := range days {
				ofRun1 = append(ofRun1, d.scatter)
			}
			ofRun2 = append(ofRun2, uncertainty.ScatterOf(dayMeans(days)))
			w.addSet(days)
		}
		l.Runs = append(l.Runs, RunLevel{Run: run, Level1: pooled(ofRun1, o), Level2: pooled(ofRun2, o)})
		level1, level2 = append(level1, ofRun1...), append(level2, ofRun2...)
	}
	for _, part := range parts {
		var runMeans []float64
		for _, run := range runs {
			if days := sets[setKey{gauge, part, run}]; len(days) > 0 {
				mean, _ := uncertainty.MeanStdDev(dayMeans(days))
				runMeans = append(runMeans, mean)
			}
		}
		level3 = append(level3, uncertainty.ScatterOf(runMeans))
	}
	l.Level1, l.Level2 = pooled(level1, o), pooled(level2, o)
	if err := l.refuse(file); err != nil {
		return nil, err
	}
	if runs := pooled(level3, o); runs.Freedom > 0 {
		l.Level3 = &runs
	}
	l.components(w)
	return l, nil
}

func (l *GaugeLevels) refuse(file string) error {
	var of []gauge.Arg
	if l.Gauge != "" {
		of = append(of, gauge.Text("gauge", l.Gauge))
	}
	switch {
	case l.Level1.Freedom == 0:
		return refused(file, "refusal.figures.one-a-day", of...)
	case l.Level1.Deviation == 0:
		return refused(file, "refusal.figures.equal-repeats", of...)
	case l.Level2.Freedom == 0:
		return refused(file, "refusal.figures.one-day", of...)
	}
	return nil
}

func pooled(scatter []uncertainty.Scatter, o Options) Level {
	s := uncertainty.Pool(scatter...)
	l := Level{Deviation: s.SD, Freedom: s.DoF}
	if s.DoF > 0 && s.SD > 0 {
		l.Interval = MeanSquare{Value: s.SD * s.SD, Freedom: float64(s.DoF)}.interval(o.Confidence).root()
	}
	return l
}

// weightsOfLevels are the means of 1/J and 1/K over the sets, by which a level
// is in the next one; with equal counts simply 1/J and 1/K.
type weightsOfLevels struct {
	days, sets         float64
	perRepeat, perDay  float64 // sums of 1/J over days, of 1/K over sets
	perRepeatInSetMean float64 // sum over sets of the sum of 1/J over K^2
}

func (w *weightsOfLevels) addSet(days []day) {
	k := float64(len(days))
	sum := 0.0
	for _, d := range days {
		sum += 1 / float64(d.repeats)
	}
	w.days += k
	w.sets++
	w.perRepeat += sum
	w.perDay += 1 / k
	w.perRepeatInSetMean += sum / (k * k)
}

// components takes the lower levels out of the higher ones: s(days)^2 = s2^2 -
// s1^2/J, s(runs)^2 = s3^2 - s2^2/K (e-Handbook, 2.6.3.2).
func (l *GaugeLevels) components(w weightsOfLevels) {
	perRepeat, perDay := w.perRepeat/w.days, w.perDay/w.sets
	l.Repeats, l.Days = 1/perRepeat, 1/perDay
	s1, s2 := square(l.Level1.Deviation), square(l.Level2.Deviation)
	l.ByDay = less(s2 - s1*perRepeat)
	if l.Level3 != nil {
		rest := w.perRepeatInSetMean/w.sets - perDay*perRepeat // 0 when counts are equal
		byRun := less(square(l.Level3.Deviation) - s2*perDay - s1*rest)
		l.ByRun = &byRun
	}
}

// belowZero says which variances came out below 0.
func (l *GaugeLevels) belowZero() (notes []gauge.Message) {
	of := func(code string) gauge.Arg {
		if l.Gauge == "" {
			return gauge.Nested("of", gauge.Say(code))
		}
		return gauge.Nested("of", gauge.Say(code, gauge.Text("gauge", l.Gauge)))
	}
	if l.ByDay.Negative {
		notes = append(notes, belowZero(of("noted.days"), l.ByDay.Estimate))
	}
	if l.ByRun != nil && l.ByRun.Negative {
		notes = append(notes, belowZero(of("noted.runs"), l.ByRun.Estimate))
	}
	return notes
}

func less(variance float64) Remainder {
	return Remainder{Deviation: math.Sqrt(max(0, variance)), Negative: variance < 0, Estimate: variance}
}
