package study

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"gauged/internal/uncertainty"
)

// TestReferenceDatasets holds the analysis of variance against the certified
// values of NIST StRD: digits in common, at least.
func TestReferenceDatasets(t *testing.T) {
	var file struct {
		Datasets map[string]map[string]any
	}
	readJSON(t, "strd/certified_anova.json", &file)
	for _, name := range []string{"SiRstv", "AtmWtAg", "SmLs01", "SmLs02"} {
		r, err := OneWay(read(t, "strd/"+name+".csv", nil, []Role{Group}), 0, Options{})
		if err != nil {
			t.Fatal(err)
		}
		between, within := r.Table[0], r.Table[1]
		for what, got := range map[string]float64{
			"ss_between": between.Sum, "ms_between": between.Mean, "f": between.F.F, "ss_within": within.Sum,
			"ms_within": within.Mean, "r_squared": r.RSquared, "residual_sd": r.Residual,
		} {
			want, err := strconv.ParseFloat(file.Datasets[name][what].(string), 64)
			if err != nil {
				t.Fatal(err)
			}
			if d := digits(got, want); d < 12.5 {
				t.Errorf("%s: %s is %.15g, certified %.15g: %.1f digits", name, what, got, want, d)
			}
		}
		if between.Freedom != file.Datasets[name]["df_between"].(float64) || within.Freedom != file.Datasets[name]["df_within"].(float64) {
			t.Errorf("%s: degrees of freedom %v and %v", name, between.Freedom, within.Freedom)
		}
	}
	d := read(t, "strd/Norris.csv", Columns{Reference: "x"}, []Role{Reference})
	var x, y []float64
	for _, r := range d.Rows {
		x, y = append(x, r.Reference), append(y, r.Value+d.Origin)
	}
	l := Fit(x, y)
	for what, got := range map[string]float64{"b0": l.Intercept, "sd_b0": l.InterceptErr, "b1": l.Slope, "sd_b1": l.SlopeErr, "residual_sd": l.Residual, "r_squared": l.RSquared} {
		want, err := strconv.ParseFloat(file.Datasets["Norris"][what].(string), 64)
		if err != nil {
			t.Fatal(err)
		}
		if d := digits(got, want); d < 11 {
			t.Errorf("Norris: %s is %.15g, certified %.15g: %.1f digits", what, got, want, d)
		}
	}
}

// TestGears: e-Handbook, 1.3.5.4 and 1.3.5.8.
func TestGears(t *testing.T) {
	r, err := OneWay(read(t, "gear_diameter.csv", Columns{Value: "diameter"}, []Role{Group}), 0.1, Options{})
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "HB-GEAR", map[string]float64{
		"SS batch": r.Table[0].Sum, "SS residual": r.Table[1].Sum, "SS total": r.Table[2].Sum, "F": r.Table[0].F.F,
		"residual sd": r.Residual, "se of a batch mean": r.Groups[0].Error, "F0.95(9,90)": r.CriticalF,
		"chi2 statistic, sigma0^2 0.01": r.Stated.ChiSquare, "chi2 0.025, 99": r.Stated.Between.Low,
		"chi2 0.975, 99": r.Stated.Between.High, "variance": r.Stated.Found * r.Stated.Found,
	})
}

// TestQuantile: e-Handbook, 2.2.3.1.
func TestQuantile(t *testing.T) {
	f := uncertainty.FQuantile(0.95, 5, 30)
	compare(t, "HB-F", map[string]float64{"F(0.95;5,30)": f})
	if p := aboveF(f, 5, 30); math.Abs(p-0.05) > 1e-10 {
		t.Errorf("P(F > %v) = %v", f, p)
	}
}

// TestDailyMeans: JCGM 100, H.5, in microvolts from 10 V.
func TestDailyMeans(t *testing.T) {
	d := read(t, "h5_daily_means.csv", Columns{Value: "mean_V", Group: "day", Deviation: "sd_uV", Repeats: "5"}, []Role{Group, Deviation, Repeats})
	for i := range d.Rows { // the table mixes units: volts and microvolts
		d.Rows[i].Value = 1e6 * (d.Rows[i].Value + d.Origin - 10)
	}
	d.Origin = 0
	r, err := OneWay(d, 0, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var means []float64
	for _, g := range r.Groups {
		means = append(means, g.Mean)
	}
	_, sd := uncertainty.MeanStdDev(means)
	compareWithin(t, "GUM-H5", 2e-9, map[string]float64{
		"mean - 10 V": r.Mean, "s(daily means)": sd, "s_a": math.Sqrt(r.Table[0].Mean), "s_b = s_W": r.Residual,
		"F": r.Table[0].F.F, "F0.95(9,40)": r.CriticalF, "F0.975(9,40)": uncertainty.FQuantile(0.975, 9, 40),
		"s(mean) pooled, 49 dof": r.MeanPooled.Uncertainty, "s_B": r.Between, "s(mean) with day effect, 9 dof": r.MeanRandom.Uncertainty,
	})
	if r.MeanPooled.Freedom != 49 || r.MeanRandom.Freedom != 9 {
		t.Errorf("degrees of freedom %v and %v", r.MeanPooled.Freedom, r.MeanRandom.Freedom)
	}
}

// TestGaugeStudy: e-Handbook, 2.6.1.2 and 2.6.3.2, gauge 2362.
func TestGaugeStudy(t *testing.T) {
	d := read(t, "gauge_study_mpc61.csv", Columns{Part: "wafer", Gauge: "probe", Value: "mean", Deviation: "sd_6", Repeats: "6"},
		[]Role{Part, Run, Gauge, Deviation, Repeats})
	l, err := NestedLevels(d, Use{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	g := l.Gauges[slices.IndexFunc(l.Gauges, func(g GaugeLevels) bool { return g.Gauge == "2362" })]
	compareWithin(t, "HB-GAUGE", 1e-8, map[string]float64{ // biases are differences of 1e-4 of the values
		"level 1 pooled (300 dof), 2.6.3.2": g.Level1.Deviation, "level 1 pooled, 2.6.1.2": g.Level1.Deviation,
		"level 1 run 1, 2.6.1.2": g.Runs[0].Level1.Deviation, "level 1 run 2, 2.6.1.2": g.Runs[1].Level1.Deviation,
		"level 2 run 1 (25 dof)": g.Runs[0].Level2.Deviation, "level 2 run 2 (25 dof)": g.Runs[1].Level2.Deviation,
		"level 2 pooled (50 dof)": g.Level2.Deviation, "level 3 (5 dof)": g.Level3.Deviation,
		"bias of gauge 2362, run 1": *g.Runs[0].Bias, "bias, run 2": *g.Runs[1].Bias, "bias, all": g.Bias.Mean,
		"sd of 10 biases": g.Bias.Deviation,
	})
	if g.Level1.Freedom != 300 || g.Level2.Freedom != 50 || g.Level3.Freedom != 5 || g.Bias.Count != 10 {
		t.Errorf("degrees of freedom %d, %d, %d, %d biases", g.Level1.Freedom, g.Level2.Freedom, g.Level3.Freedom, g.Bias.Count)
	}
	// The budget from the data is that from the printed deviations, to their digits.
	if b := g.Budget; math.Abs(b.Standard-0.0388) > 1e-4 || b.Terms[0].Squared != 0 || math.Abs(b.Terms[1].Squared-5.0/6) > 1e-12 {
		t.Errorf("budget %+v", b)
	}
}

// TestErrorBudget: e-Handbook, 2.6.3.2, with the deviations and degrees of
// freedom that it prints.
func TestErrorBudget(t *testing.T) {
	g := GaugeLevels{
		Level1: Level{Deviation: 0.0729, Freedom: 300}, Level2: Level{Deviation: 0.0362, Freedom: 50}, Level3: &Level{Deviation: 0.0197, Freedom: 5},
	}
	g.components(weightsOfLevels{days: 1, sets: 1, perRepeat: 1.0 / 6, perDay: 1.0 / 6, perRepeatInSetMean: 1.0 / 36})
	b := g.budget(Use{}, Options{Confidence: 0.95})
	b = Budget(append(b.Terms, BudgetTerm{"bias", 0.0162, 5, 0.1}), 0.95)
	k := coverage(0.95, 42)
	compare(t, "HB-BUDGET", map[string]float64{
		"s(days) = sqrt(s2^2 - s1^2/6)": g.ByDay.Deviation, "s(runs) = sqrt(s3^2 - s2^2/6)": g.ByRun.Deviation,
		"u": b.Standard, "nu_eff": b.Freedom, "t(0.975;42)": k, "U": k * b.Standard, // the page rounds 41.93 to 42
	})
}

// TestPairedDifferences: e-Handbook, 2.4.5.5 and 2.6.3.2.
func TestPairedDifferences(t *testing.T) {
	for _, c := range []struct {
		id, file, t string
		runs        [2]Columns
		sign        float64
	}{
		{"HB-WIRING", "wiring_bias_mpc536.csv", "t", [2]Columns{{Value: "diff_run1", Reference: "0"}, {Value: "diff_run2", Reference: "0"}}, 1},
		{"HB-CONFIG", "config_ab_mpc633k.csv", "|t|", [2]Columns{{Value: "a_run1", Reference: "b_run1"}, {Value: "a_run2", Reference: "b_run2"}}, -1},
	} {
		got := map[string]float64{}
		for i, columns := range c.runs {
			r, err := Bias(read(t, c.file, columns, []Role{Reference}), 0, Options{})
			if err != nil {
				t.Fatal(err)
			}
			run := " run " + strconv.Itoa(i+1)
			got["mean"+run], got["sd"+run], got[c.t+run] = r.Bias, r.ByDeviation.Deviation, c.sign*r.ByDeviation.Test.T
		}
		compare(t, c.id, got)
	}
}

// TestMeanInterval: e-Handbook, 1.3.5.2.
func TestMeanInterval(t *testing.T) {
	r, err := Bias(read(t, "zarr13.csv", Columns{Reference: "5"}, []Role{Reference}), 0, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := r.ByDeviation
	compare(t, "HB-ZARR", map[string]float64{
		"mean": *r.Mean, "sd": s.Deviation, "t(0.975;194)": (s.Interval.High - r.Bias) / s.Error,
		"lower": 5 + s.Interval.Low, "upper": 5 + s.Interval.High, "T for mean = 5": s.Test.T,
	})
}

// TestBiasByRange: MSA manual, bias example, from memory. The manual's table
// has d2* 3.55333 for 15 readings; the distribution of the range gives 3.55323.
func TestBiasByRange(t *testing.T) {
	d := read(t, "bias_15.csv", Columns{Reference: "6.0"}, []Role{Reference})
	r, err := Bias(d, 3.55333, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := r.ByRange
	compare(t, "MSA-BIAS", map[string]float64{
		"mean": *r.Mean, "sigma_r = R/d2*": s.Deviation, "sigma_b": s.Error, "t": s.Test.T,
		"sd (n-1) of the readings": r.ByDeviation.Deviation, "t with the sd": r.ByDeviation.Test.T,
	})
	if math.Abs(s.Test.Freedom-10.8) > 0.05 { // the manual's table, from memory
		t.Errorf("%v degrees of freedom", s.Test.Freedom)
	}
	computed, err := Bias(d, 0, Options{})
	if err != nil || math.Abs(computed.ByRange.D2Star-3.55323) > 5e-6 {
		t.Errorf("d2* %v, %v", computed.ByRange.D2Star, err)
	}
}

// TestCalibrationLines: e-Handbook, 2.3.6.7.3; JCGM 100, H.3.
func TestCalibrationLines(t *testing.T) {
	d := read(t, "linewidth_calibration.csv", Columns{Value: "y_reading", Reference: "x_reference"}, []Role{Reference})
	r, err := Linearity(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	l := r.Line // of the error: the slope is that of the reading less 1
	greatest := 0.0
	for y := 0.0; y <= 12; y += 0.01 {
		// u of the corrected value (y - a) / b, by propagation (2.3.6.7.3)
		b := 1 + l.Slope
		x := (y - l.Intercept) / b
		v := (l.Residual*l.Residual + l.InterceptErr*l.InterceptErr + x*x*l.SlopeErr*l.SlopeErr + 2*x*l.Covariance) / (b * b)
		greatest = max(greatest, math.Sqrt(v))
	}
	compare(t, "HB-LIN", map[string]float64{
		"a": l.Intercept, "s(a)": l.InterceptErr, "b": 1 + l.Slope, "s(b)": l.SlopeErr, "cov(a,a)": l.InterceptErr * l.InterceptErr,
		"cov(a,b)": l.Covariance, "cov(b,b)": l.SlopeErr * l.SlopeErr, "residual sd": l.Residual, "max u(x), y 0..12": greatest,
	})
	d = read(t, "h3_calibration_line.csv", Columns{Value: "b_observed", Reference: "t"}, []Role{Reference})
	var at20, at0, y []float64
	for _, row := range d.Rows {
		at20, at0, y = append(at20, row.Reference-20), append(at0, row.Reference), append(y, row.Value+d.Origin)
	}
	l = Fit(at20, y)
	mean, _ := uncertainty.MeanStdDev(at0)
	predicted, u := l.At(10)
	atMean, uMean := l.At(mean - 20)
	compare(t, "GUM-H3", map[string]float64{
		"y1": l.Intercept, "s(y1)": l.InterceptErr, "y2": l.Slope, "s(y2)": l.SlopeErr, "r(y1,y2)": l.Covariance / (l.InterceptErr * l.SlopeErr),
		"s": l.Residual, "b(30)": predicted, "u[b(30)]": u, "tbar": mean, "y1' at tbar": atMean, "s(y1')": uMean,
	})
}

// TestLinearityOfTheManual: MSA manual, linearity example, from memory: slope
// -0.1317, intercept 0.7367, residual 0.2395.
func TestLinearityOfTheManual(t *testing.T) {
	errs := map[string][]string{
		"2":  {"2.7", "2.5", "2.4", "2.5", "2.7", "2.3", "2.5", "2.5", "2.4", "2.4", "2.6", "2.4"},
		"4":  {"5.1", "3.9", "4.2", "5.0", "3.8", "3.9", "3.9", "3.9", "3.9", "4.0", "4.1", "3.8"},
		"6":  {"5.8", "5.7", "5.9", "5.9", "6.0", "6.1", "6.0", "6.1", "6.4", "6.3", "6.0", "6.1"},
		"8":  {"7.6", "7.7", "7.8", "7.7", "7.8", "7.8", "7.8", "7.7", "7.8", "7.5", "7.6", "7.7"},
		"10": {"9.1", "9.3", "9.5", "9.3", "9.4", "9.5", "9.5", "9.5", "9.6", "9.2", "9.3", "9.4"},
	}
	content := "reference,value\n"
	for reference, values := range errs {
		for _, v := range values {
			content += reference + "," + v + "\n"
		}
	}
	r, err := Linearity(made(t, content, Reference), Options{})
	if err != nil {
		t.Fatal(err)
	}
	l := r.Line
	if math.Abs(l.Slope+0.1317) > 5e-5 || math.Abs(l.Intercept-0.7367) > 5e-5 || math.Abs(l.Residual-0.2395) > 5e-5 || math.Abs(l.RSquared-0.714) > 5e-4 {
		t.Errorf("line %+v", l)
	}
}

// TestIndividuals: e-Handbook, 6.3.2.2.
func TestIndividuals(t *testing.T) {
	r, err := Stability(read(t, "individuals_flowrate.csv", Columns{Value: "x"}, nil), Options{})
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "HB-IMR", map[string]float64{
		"mean": r.Mean, "MRbar": r.MeanRange, "UCL": r.Upper, "LCL": r.Lower, "MR UCL, D4 = 3.267": r.UpperRange,
		"UCL with d2 = 2/sqrt(pi)": r.Mean + 3*r.MeanRange*math.Sqrt(math.Pi)/2,
	})
}
