package drift

import (
	"math"
	"strconv"
	"testing"

	"gauged/internal/uncertainty"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

func lineThrough(t *testing.T, x, y []float64) Line {
	t.Helper()
	var trend Trend
	for i := range x {
		trend.Add(x[i], y[i], 0)
	}
	line, err := trend.Line()
	if err != nil {
		t.Fatal(err)
	}
	return line
}

func TestCalibrationLine(t *testing.T) { // JCGM 100:2008, H.3
	data := columns(t, "h3_calibration_line.csv")
	l := lineThrough(t, data["t"], data["b_observed"])
	y1, s1 := l.At(20)
	b30, u30 := l.At(30)
	compare(t, "GUM-H3", map[string]float64{
		"y1": y1, "s(y1)": s1, "y2": l.Rate, "s(y2)": l.RateError, "r(y1,y2)": l.Covariance(20) / (s1 * l.RateError), "s": l.SD,
		"b(30)": b30, "u[b(30)]": u30, "tbar": l.Centre, "y1' at tbar": l.Level, "s(y1')": l.LevelError,
	})
}

func TestNorris(t *testing.T) { // NIST StRD, certified
	data := columns(t, "Norris.csv")
	l := lineThrough(t, data["x"], data["y"])
	b0, s0 := l.At(0)
	certified := published(t).Norris
	for name, got := range map[string]float64{"b0": b0, "sd_b0": s0, "b1": l.Rate, "sd_b1": l.RateError, "residual_sd": l.SD} {
		want, err := strconv.ParseFloat(certified[name].(string), 64)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, got, want, 1e-10*math.Abs(want))
	}
	if float64(l.DoF) != certified["df_residual"] {
		t.Errorf("%d degrees of freedom", l.DoF)
	}
}

func TestLinearCalibration(t *testing.T) { // NIST/SEMATECH e-Handbook, 2.3.6.7.3
	data := columns(t, "linewidth_calibration.csv")
	l := lineThrough(t, data["x_reference"], data["y_reading"])
	a, sa := l.At(0)
	cov := l.Covariance(0)
	largest := 0.0
	for y := 0.0; y <= 12; y += 0.25 { // u of the corrected value (y-a)/b
		x := (y - a) / l.Rate
		u := math.Sqrt(l.SD*l.SD+sa*sa+x*x*l.RateError*l.RateError+2*x*cov) / l.Rate
		largest = max(largest, u)
	}
	compare(t, "HB-LIN", map[string]float64{
		"a": a, "s(a)": sa, "b": l.Rate, "s(b)": l.RateError, "cov(a,a)": sa * sa, "cov(a,b)": cov, "cov(b,b)": l.RateError * l.RateError,
		"residual sd": l.SD, "max u(x), y 0..12": largest,
	})
}

func TestControlOfLinearCalibration(t *testing.T) { // NIST/SEMATECH e-Handbook, 2.3.7
	data := columns(t, "linewidth_check.csv")
	const a, b, s = 0.2357, 0.9870, 0.06203 // as printed there
	factor := uncertainty.StudentQuantileOfSeveral(0.05, 3, 38)
	limit := s * factor / b
	var w []float64
	outside := 0.0
	for i, y := range data["y_reading"] {
		w = append(w, (y-a)/b-data["x_reference"][i])
		if math.Abs(w[i]) > limit {
			outside++
			if data["day"][i] != 4 {
				t.Errorf("day %g is outside", data["day"][i])
			}
		}
	}
	_, sd := uncertainty.MeanStdDev(w)
	compare(t, "HB-LINCHK", map[string]float64{
		"sd of W": sd, "sd of W, R listing": sd, "t* (alpha 0.05, m 3, 38 dof)": factor, "limit": limit, "values outside (all of day 4)": outside,
	})
}

func TestIndividuals(t *testing.T) { // NIST/SEMATECH e-Handbook, 6.3.2.2
	data := columns(t, "individuals_flowrate.csv")
	moved := 0.0
	for i, x := range data["x"][1:] {
		moved += math.Abs(x - data["x"][i])
	}
	mean, _ := uncertainty.MeanStdDev(data["x"])
	d2, d3 := rangeFactors(2)
	moved /= float64(len(data["x"]) - 1)
	near(t, "d2", d2, 1.128, 0.0005)
	near(t, "D4", 1+3*d3/d2, 3.267, 0.0005)
	// The factors as printed there.
	limits := func(sigma float64) Charted {
		w, err := NewWatch(ChartSettings{Known: &Baseline{Centre: mean, Sigma: sigma}, Single: 3})
		if err != nil {
			t.Fatal(err)
		}
		var c Charted
		for i, x := range data["x"] {
			if c = w.Add(Check{Found: x}); len(c.Signals) > 0 && c.Signals[0].Chart == SingleChart {
				t.Errorf("value %d gives %v", i+1, c.Signals)
			}
		}
		return c
	}
	printed := limits(moved / 1.128)
	compare(t, "HB-IMR", map[string]float64{
		"mean": mean, "MRbar": moved, "UCL": printed.High, "LCL": printed.Low, "MR UCL, D4 = 3.267": 3.267 * moved,
		"UCL with d2 = 2/sqrt(pi)": limits(moved * math.Sqrt(math.Pi) / 2).High,
	})
}

func TestCUSUM(t *testing.T) { // NIST/SEMATECH e-Handbook, 6.3.2.3
	data := columns(t, "cusum.csv")
	c := NewCUSUM(Baseline{Centre: 325, Sigma: 1}, 0.3175, 4.1959)
	got := map[string]float64{}
	for i, x := range data["x"] {
		signal := c.Add(x)
		near(t, "upper sum", c.High, data["s_hi"][i], 1e-9)
		near(t, "lower sum", c.Low, data["s_lo"][i], 1e-9)
		near(t, "printed upper sum", c.High, data["printed_s_hi"][i], 0.0051)
		near(t, "printed lower sum", c.Low, data["printed_s_lo"][i], 0.0051)
		if _, known := got["first signal"]; signal && !known {
			got["first signal"] = data["i"][i]
		}
		switch i + 1 {
		case 8:
			got["S_lo(8)"] = c.Low
		case 13:
			got["S_hi(13)"] = c.High
		case 14:
			got["S_hi(14)"] = c.High
		case 20:
			got["S_hi(20)"] = c.High
		}
	}
	compare(t, "HB-CUSUM", got)
}

func TestEWMA(t *testing.T) { // NIST/SEMATECH e-Handbook, 6.3.2.4
	data := columns(t, "ewma.csv")
	c := NewEWMA(Baseline{Centre: 50, Sigma: 2.0539}, 0.3, 3)
	low, high := c.Limits()
	signals := 0.0
	for i, x := range data["x"] {
		if c.Add(x) {
			signals++
		}
		near(t, "average", c.Value, data["ewma"][i], 5e-9)
		near(t, "printed average", c.Value, data["printed_ewma"][i], 0.0051)
	}
	compare(t, "HB-EWMA", map[string]float64{"UCL": high, "LCL": low, "EWMA(20)": c.Value, "signals": signals})
}

func TestPrecisionLimit(t *testing.T) { // NIST/SEMATECH e-Handbook, 2.2.3.1
	var p Precision
	for range 6 {
		p.Learn(1, 6)
	}
	s, err := p.Judge(1.6, 6, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "HB-F", map[string]float64{"F(0.95;5,30)": s.Limit})
	near(t, "spread that it may have", s.Most, math.Sqrt(s.Limit), 1e-12)
	near(t, "F", s.F, 2.56, 1e-12)
	if calm, _ := p.Judge(1.59, 6, 0.05); !s.Signal || calm.Signal {
		t.Errorf("1.6 gives %v, 1.59 gives %v", s, calm)
	}
}

func TestShewhartFactors(t *testing.T) { // NIST/SEMATECH e-Handbook, 6.3.2.1
	data := columns(t, "shewhart_constants.csv")
	for i, n := range data["n"] {
		d2, d3 := rangeFactors(int(n))
		c4 := uncertainty.MeanStdDevFactor(int(n))
		spread := 3 * math.Sqrt(1-c4*c4) / c4
		for name, got := range map[string]float64{
			"d2": d2, "d3": d3, "c4": c4, "A2": 3 / (d2 * math.Sqrt(n)), "D3": max(0, 1-3*d3/d2), "D4": 1 + 3*d3/d2, "B3": max(0, 1-spread), "B4": 1 + spread,
		} {
			near(t, name, got, data[name][i], 6e-6)
			if printed, ok := data["pub_"+name]; ok && !math.IsNaN(printed[i]) {
				near(t, "printed "+name, got, printed[i], 0.00051)
			}
		}
	}
}

// rangeFactors returns the mean d2 and the standard deviation d3 of the range
// of n values of the standard normal distribution, by Gauss-Legendre quadrature
// of its distribution, n integral of pdf(x) (cdf(x+r) - cdf(x))^(n-1) dx
// (Tippett 1925, from memory); n is 2 or more.
func rangeFactors(n int) (d2, d3 float64) {
	const reach, points = 8.5, 100
	normal := distuv.UnitNormal
	exceeds := func(r float64) float64 {
		return 1 - float64(n)*quad.Fixed(func(x float64) float64 {
			return normal.Prob(x) * math.Pow(normal.CDF(x+r)-normal.CDF(x), float64(n-1))
		}, -reach, reach, points, nil, 0)
	}
	d2 = quad.Fixed(exceeds, 0, 2*reach, points, nil, 0)
	square := quad.Fixed(func(r float64) float64 { return 2 * r * exceeds(r) }, 0, 2*reach, points, nil, 0)
	return d2, math.Sqrt(square - d2*d2)
}
