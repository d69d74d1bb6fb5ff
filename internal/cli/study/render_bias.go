package study

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/health/study"
)

// longer writes a value with as many decimals as its scatter needs three digits of.
func (in *studyInput) longer(x, scatter float64) string {
	decimals := 4
	if scatter > 0 {
		decimals = min(12, max(0, 2-int(math.Floor(math.Log10(scatter)))))
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if in.unit != "" {
		text += " " + in.unit
	}
	return text
}

// exact writes a reference value with the digits that it was given with, up to twelve.
func (in *studyInput) exact(x float64) string {
	if close, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64); err == nil {
		x = close
	}
	return strings.TrimSpace(strconv.FormatFloat(x, 'f', -1, 64) + " " + in.unit)
}

func renderBias(w io.Writer, in *studyInput, r *study.BiasResult) {
	if r.Reference != nil {
		fmt.Fprintf(w, "Bias: %s, mean %s, reference value %s.\n\n", show.Plural(r.Readings, "reading"), in.longer(*r.Mean, r.ByDeviation.Error), in.exact(*r.Reference))
	} else {
		fmt.Fprintf(w, "Bias: %s with reference values of their own.\n\n", show.Plural(r.Readings, "reading"))
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  BY\tBIAS\tSTANDARD DEVIATION\tSTANDARD ERROR\tT\tDEGREES OF FREEDOM\tP\t%g %% INTERVAL\n", 100*r.Confidence)
		row := func(name string, t study.BiasTest) {
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\t%s\t%.4g\t%s\t%s\n", name, in.number(r.Bias), in.number(t.Deviation), in.number(t.Error),
				study.Number(t.Test.T), t.Test.Freedom, study.Probability(t.Test.P), in.spanText(&t.Interval))
		}
		row("standard deviation", r.ByDeviation)
		if r.ByRange != nil {
			row(fmt.Sprintf("range %s, d2* %.5f", in.number(r.ByRange.Range), r.ByRange.D2Star), r.ByRange.BiasTest)
		}
	})
	if !r.NoRange.IsZero() {
		fmt.Fprintf(w, "  By range: none; %s.\n", show.Says(r.NoRange))
	}
	if r.OfTolerance != nil {
		fmt.Fprintf(w, "\nShare of the tolerance: bias %.2f %%, repeatability (6 standard deviations) %.2f %%\n", *r.BiasOfTolerance, *r.OfTolerance)
	}
	in.renderVerdict(w, &r.Verdict)
	in.renderNotes(w, r.Notes)
}

func renderLinearity(w io.Writer, in *studyInput, r *study.LinearityResult) {
	l := r.Line
	fmt.Fprintf(w, "Linearity: %s at %s.\n\nError = intercept + slope x reference value; residual standard deviation %s, R squared %.4f\n",
		show.Plural(r.Readings, "reading"), show.Plural(len(r.Points), "reference value"), in.number(l.Residual), l.RSquared)
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "  TERM\tVALUE\tSTANDARD ERROR\tT\tDEGREES OF FREEDOM\tP")
		fmt.Fprintf(tab, "  intercept\t%s\t%s\t%s\t%g\t%s\n", in.number(l.Intercept), in.number(l.InterceptErr), study.Number(r.InterceptTest.T), l.Freedom, study.Probability(r.InterceptTest.P))
		fmt.Fprintf(tab, "  slope\t%s\t%s\t%s\t%g\t%s\n", study.Number(l.Slope), study.Number(l.SlopeErr), study.Number(r.SlopeTest.T), l.Freedom, study.Probability(r.SlopeTest.P))
	})
	fmt.Fprintln(w, "\nReference values")
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  REFERENCE\tCOUNT\tMEAN ERROR\tP\tLINE\t%g %% BAND OF THE LINE\n", 100*r.Confidence)
		for _, p := range r.Points {
			test := "-"
			if p.P != nil {
				test = study.Probability(*p.P)
			}
			fmt.Fprintf(tab, "  %s\t%d\t%s\t%s\t%s\t%s\n", in.exact(p.Reference), p.Count, in.number(p.Error), test, in.number(p.Line), in.spanText(&p.Band))
		}
	})
	fmt.Fprintf(w, "\n%s: %s", show.Say("study.figure.change"), in.number(r.Change))
	if r.OfTolerance != nil {
		fmt.Fprintf(w, ", %.2f %% of the tolerance", *r.OfTolerance)
	}
	fmt.Fprintln(w)
	if r.Misfit != nil {
		fmt.Fprintf(w, "%s: F %s, P %s\n", show.Say("study.figure.misfit"), study.Number(r.Misfit.F), study.Probability(r.Misfit.P))
	}
	in.renderVerdict(w, &r.Verdict)
	in.renderNotes(w, r.Notes)
}

func renderStability(w io.Writer, in *studyInput, r *study.StabilityResult, errors bool) {
	what := "readings"
	if errors {
		what = "errors against the reference value"
	}
	if len(r.Series) > 0 {
		renderSeries(w, in, r, what)
		return
	}
	fmt.Fprintf(w, "Stability: %d %s in the order of the rows.\n\n", r.Readings, what)
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  mean\t%s\n", in.longer(r.Mean, r.Deviation))
		fmt.Fprintf(tab, "  mean moving range\t%s\n", in.number(r.MeanRange))
		fmt.Fprintf(tab, "  standard deviation\t%s\n", in.number(r.Deviation))
		fmt.Fprintf(tab, "  limits\t%s to %s\n", in.longer(r.Lower, r.Deviation), in.longer(r.Upper, r.Deviation))
		fmt.Fprintf(tab, "  limit of the moving range\t%s\n", in.number(r.UpperRange))
		fmt.Fprintf(tab, "  trend for each reading\t%s (%s), P %s\n", in.number(r.Trend), in.spanText(&r.TrendInterval), study.Probability(r.TrendTest.P))
	})
	renderOutside(w, in, r)
	in.renderVerdict(w, &r.Verdict)
	in.renderNotes(w, r.Notes)
}

// renderOutside names the readings outside the limits.
func renderOutside(w io.Writer, in *studyInput, r *study.StabilityResult) {
	at := show.Only(r.Part != "", " at "+r.Part)
	for _, p := range r.Outside {
		fmt.Fprintf(w, "! Reading %d%s%s (line %d), %s, lies outside the limits.\n", p.Number, at, show.Only(p.Time != "", ", "+p.Time), p.Line, in.longer(p.Value, r.Deviation))
	}
	for _, p := range r.RangesOut {
		fmt.Fprintf(w, "! Reading %d%s%s (line %d) differs from the one before by %s, more than the limit.\n", p.Number, at, show.Only(p.Time != "", ", "+p.Time), p.Line, in.number(p.Value))
	}
}

// renderSeries writes a line for each master.
func renderSeries(w io.Writer, in *studyInput, r *study.StabilityResult, what string) {
	fmt.Fprintf(w, "Stability: %s at each of %s, in the order of the rows.\n\n", what, show.Plural(len(r.Series), "master"))
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "  AT\tREADINGS\tMEAN\tSTANDARD DEVIATION\tLIMITS\tOUTSIDE\tTREND FOR EACH READING")
		for _, s := range r.Series {
			fmt.Fprintf(tab, "  %s\t%d\t%s\t%s\t%s to %s\t%d\t%s, P %s\n", s.Part, s.Readings, in.longer(s.Mean, s.Deviation), in.number(s.Deviation),
				in.longer(s.Lower, s.Deviation), in.longer(s.Upper, s.Deviation), len(s.Outside), in.number(s.Trend), study.Probability(s.TrendTest.P))
		}
	})
	for i := range r.Series {
		renderOutside(w, in, &r.Series[i])
	}
	in.renderVerdict(w, &r.Verdict)
	in.renderNotes(w, r.Notes)
}

func renderCapability(w io.Writer, in *studyInput, r *study.CapabilityResult) {
	fmt.Fprintf(w, "Indices of one gauge: %s of a master of %s; tolerance %s.\n\n", show.Plural(r.Readings, "reading"), in.exact(*r.Reference), in.number(r.Tolerance))
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  FIGURE\tVALUE\t%g %% INTERVAL\n", 100*r.Confidence)
		fmt.Fprintf(tab, "  mean\t%s\t\n", in.longer(*r.Mean, r.BiasTest.Error))
		fmt.Fprintf(tab, "  bias\t%s (P %s)\t%s\n", in.number(r.Bias), study.Probability(r.BiasTest.Test.P), in.spanText(&r.BiasTest.Interval))
		fmt.Fprintf(tab, "  standard deviation\t%s\t%s\n", in.number(r.Deviation), in.spanText(r.DeviationInterval))
		fmt.Fprintf(tab, "  Cg\t%.3f\t%.3f to %.3f\n", r.Cg, r.CgInterval.Low, r.CgInterval.High)
		fmt.Fprintf(tab, "  Cgk\t%.3f\t%.3f to %.3f (approximate)\n", r.Cgk, r.CgkInterval.Low, r.CgkInterval.High)
	})
	in.renderVerdict(w, &r.Verdict)
	in.renderNotes(w, r.Notes)
}
