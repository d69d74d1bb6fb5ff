package study

import (
	"fmt"
	"io"

	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/health/study"
)

// renderANOVA writes a table of analysis of variance.
func renderANOVA(w io.Writer, terms []study.Term) {
	fmt.Fprintln(w, "\nAnalysis of variance")
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "  SOURCE\tSUM OF SQUARES\tDEGREES OF FREEDOM\tMEAN SQUARE\tF\tP\tF IS OVER")
		for _, t := range terms {
			f, p, over, mean := "", "", "", study.Number(t.Mean)
			if t.F != nil {
				f, p, over = study.Number(t.F.F), study.Probability(t.F.P), t.F.Over
			}
			if t.Source == study.Total {
				mean = ""
			}
			fmt.Fprintf(tab, "  %s\t%s\t%g\t%s\t%s\t%s\t%s\n", t.Source, study.Number(t.Sum), t.Freedom, mean, f, p, over)
		}
	})
}

// spanText writes an interval in the unit; a dash stands for none.
func (in *studyInput) spanText(i *study.Interval) string {
	if i == nil {
		return "-"
	}
	return study.Number(i.Low) + " to " + in.number(i.High)
}

// percentText writes percents with their interval.
func percentText(p float64, i *study.Interval) string {
	text := fmt.Sprintf("%.2f %%", p)
	if i != nil {
		text += fmt.Sprintf(" (%.1f to %.1f)", i.Low, i.High)
	}
	return text
}

// told is what the study says, with the unit at each length.
func (in *studyInput) told(m gauge.Message) gauge.Message {
	u, err := gauge.ParseUnit(in.unit)
	if err != nil {
		return m // plain numbers
	}
	return study.WithUnit(m, u)
}

func (in *studyInput) renderVerdict(w io.Writer, v *study.Verdict) {
	if v != nil {
		fmt.Fprintf(w, "\n%s\n  Rule: %s.\n  Origin: %s.\n", show.Says(in.told(v.Text)), show.Says(v.Rule), show.Says(v.Origin))
	}
}

func (in *studyInput) renderNotes(w io.Writer, notes []gauge.Message) {
	if len(notes) > 0 {
		fmt.Fprintln(w)
	}
	for _, n := range notes {
		fmt.Fprintf(w, "! %s\n", show.Says(in.told(n)))
	}
}

func renderVariation(w io.Writer, in *studyInput, v *study.Variation) {
	trials := show.Plural(v.Trials, "trial")
	if v.Trials == 0 {
		trials = "unequal numbers of trials"
	}
	parts := show.Plural(v.Parts, "part")
	if v.Design == "nested" {
		parts += " each"
		if v.Trials == 0 {
			parts = "parts of their own"
		}
	}
	fmt.Fprintf(w, "Repeatability and reproducibility, %s: %s, %s, %s; %s.\n", v.Design, show.Plural(v.Appraisers, "appraiser"), parts, trials, show.Plural(v.Readings, "reading"))
	fmt.Fprintf(w, "Method: %s.\n", v.Method)
	renderANOVA(w, v.Table)
	if v.Pooled {
		fmt.Fprintf(w, "  The interaction is joined with the repeatability: its P is above %g.\n", v.PoolAbove)
	}
	renderComponents(w, in, v)
	if v.Distinct != nil {
		fmt.Fprintf(w, "\nDistinct categories: %d (1.41 x part / gauge = %.3f", int(*v.Distinct), *v.Distinct)
		if i := v.DistinctInterval; i != nil {
			fmt.Fprintf(w, ", %.1f to %.1f", i.Low, i.High)
		}
		fmt.Fprintln(w, ")")
	}
	renderRanges(w, in, v)
	in.renderVerdict(w, v.Verdict)
	in.renderNotes(w, v.Notes)
}

func renderComponents(w io.Writer, in *studyInput, v *study.Variation) {
	fmt.Fprintf(w, "\nComponents, with %g %% confidence intervals; a variation is %g standard deviations wide\n", 100*v.Confidence, v.Spread)
	show.Columns(w, func(tab io.Writer) {
		tolerance := ""
		if v.Tolerance > 0 {
			tolerance = "\t% OF TOLERANCE"
		}
		fmt.Fprintf(tab, "  COMPONENT\tVARIANCE\tSTANDARD DEVIATION\tINTERVAL\tMETHOD\t%% CONTRIBUTION\t%% STUDY VARIATION%s\n", tolerance)
		for _, c := range v.Components {
			mark := ""
			if c.Negative {
				mark = " (counts as 0)"
			}
			fmt.Fprintf(tab, "  %s\t%s%s\t%s\t%s\t%s\t%.2f %%\t%s", c.Name, study.Number(shownVariance(c)), mark, in.number(c.Deviation),
				in.spanText(c.Interval), show.OrDash(c.Method), c.Contribution, percentText(c.StudyVariation, c.StudyInterval))
			if c.Tolerance != nil {
				fmt.Fprintf(tab, "\t%s", percentText(*c.Tolerance, c.ToleranceBetween))
			}
			fmt.Fprintln(tab)
		}
	})
}

// shownVariance is a variance as it was estimated where that is below 0.
func shownVariance(c study.Component) float64 {
	if c.Negative {
		return c.Estimate
	}
	return c.Variance
}

func renderRanges(w io.Writer, in *studyInput, v *study.Variation) {
	r := v.Ranges
	if r == nil {
		if v.Design == "crossed" {
			fmt.Fprintf(w, "\nAverage and range: none; %s.\n", show.Says(v.NoRanges))
		}
		return
	}
	fmt.Fprintf(w, "\nAverage and range (MSA reference manual, from memory): mean range %s, K1 %g; range of appraisers' means %s, K2 %g;\n  range of parts' means %s, K3 %g. %s of %d ranges above the limit %s.\n",
		in.number(r.MeanRange), r.K1, in.number(r.AppraiserRange), r.K2, in.number(r.PartRange), r.K3,
		noneOr(r.Outside), v.Parts*v.Appraisers, in.number(r.UpperRange))
	show.Columns(w, func(tab io.Writer) {
		tolerance := ""
		if r.OfTolerance != nil {
			tolerance = "\t% OF TOLERANCE"
		}
		fmt.Fprintf(tab, "  COMPONENT\tSTANDARD DEVIATION\t%% STUDY VARIATION%s\n", tolerance)
		row := func(name string, sd, percent float64, of func(*study.Percents) float64) {
			fmt.Fprintf(tab, "  %s\t%s\t%.2f %%", name, in.number(sd), percent)
			if r.OfTolerance != nil {
				fmt.Fprintf(tab, "\t%.2f %%", of(r.OfTolerance))
			}
			fmt.Fprintln(tab)
		}
		row(study.RepeatAndRepro, r.Both, r.Percent.Both, func(p *study.Percents) float64 { return p.Both })
		row(study.Repeatability, r.Repeatability, r.Percent.Repeatability, func(p *study.Percents) float64 { return p.Repeatability })
		row(study.Reproducibility, r.Reproducibility, r.Percent.Reproducibility, func(p *study.Percents) float64 { return p.Reproducibility })
		row(study.ByPart, r.Part, r.Percent.Part, func(p *study.Percents) float64 { return p.Part })
	})
	if r.Negative {
		fmt.Fprintf(w, "  The variance of reproducibility came out at %s, below 0: it counts as 0.\n", study.Number(r.Estimate))
	}
	fmt.Fprintf(w, "  Distinct categories: %d (%.3f)\n", int(r.Distinct), r.Distinct)
}

func noneOr(n int) string {
	if n == 0 {
		return "None"
	}
	return fmt.Sprint(n)
}

func renderOneWay(w io.Writer, in *studyInput, r *study.OneWayResult) {
	fmt.Fprintf(w, "One-way analysis of variance: %s, %s, mean %s.\n", show.Plural(len(r.Groups), "group"), show.Plural(r.Readings, "reading"), in.number(r.Mean))
	renderANOVA(w, r.Table)
	f := r.Table[0].F
	word := "no difference of the groups is found"
	if f.P < 1-r.Confidence {
		word = "the groups differ"
	}
	fmt.Fprintf(w, "  F %s, with %g %% confidence a difference from %s on: %s.\n", study.Number(f.F), 100*r.Confidence, study.Number(r.CriticalF), word)
	fmt.Fprintf(w, "  R squared %.4f.\n\nGroups\n", r.RSquared)
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "  GROUP\tCOUNT\tMEAN\tSTANDARD ERROR\tSTANDARD DEVIATION")
		for _, g := range r.Groups {
			sd := "-"
			if g.Deviation != nil {
				sd = in.number(*g.Deviation)
			}
			fmt.Fprintf(tab, "  %s\t%d\t%s\t%s\t%s\n", g.Name, g.Count, in.longer(g.Mean, r.Residual), in.number(g.Error), sd)
		}
	})
	fmt.Fprintf(w, "\nStandard deviation within groups: %s (%s)\n", in.number(r.Residual), in.spanText(r.ResidualInterval))
	fmt.Fprintf(w, "Standard deviation between groups, if they were drawn at random: %s (%s)\n", in.number(r.Between)+show.Only(r.BetweenNegative, fmt.Sprintf(" (the variance came out at %s, below 0)", study.Number(r.BetweenEstimate))), in.spanText(r.BetweenInterval))
	fmt.Fprintf(w, "Standard uncertainty of the mean: %s (%g degrees of freedom) if the groups are alike", in.number(r.MeanPooled.Uncertainty), r.MeanPooled.Freedom)
	if m := r.MeanRandom; m != nil {
		fmt.Fprintf(w, ",\n  %s (%g) if they differ at random", in.number(m.Uncertainty), m.Freedom)
	}
	fmt.Fprintln(w, " (JCGM 100, H.5).")
	if s := r.Stated; s != nil {
		word := "does not differ from"
		if s.P < 1-r.Confidence {
			word = "differs from"
		}
		fmt.Fprintf(w, "Standard deviation of all readings: %s; it %s the stated %s (chi-square %s, P %s, not rejected from %s to %s).\n",
			in.number(s.Found), word, in.number(s.Deviation), study.Number(s.ChiSquare), study.Probability(s.P), study.Number(s.Between.Low), study.Number(s.Between.High))
	}
	in.renderNotes(w, r.Notes)
}
