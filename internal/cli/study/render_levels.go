package study

import (
	"fmt"
	"io"

	"gauged/internal/cli/show"
	"gauged/internal/health/study"
)

func renderLevels(w io.Writer, in *studyInput, l *study.Levels) {
	fmt.Fprintln(w, "Repeats within days within runs (NIST/SEMATECH e-Handbook, 2.4.3 and 2.6.3)")
	for _, g := range l.Gauges {
		if g.Gauge != "" {
			fmt.Fprintf(w, "\nGauge %s\n", g.Gauge)
		}
		renderGaugeLevels(w, in, g, l.Confidence)
	}
	renderBiases(w, in, l)
	in.renderNotes(w, l.Notes)
}

func renderGaugeLevels(w io.Writer, in *studyInput, g study.GaugeLevels, confidence float64) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  LEVEL\tSTANDARD DEVIATION\tDEGREES OF FREEDOM\t%g %% INTERVAL\n", 100*confidence)
		row := func(name string, v study.Level) {
			if v.Freedom > 0 {
				fmt.Fprintf(tab, "  %s\t%s\t%d\t%s\n", name, in.number(v.Deviation), v.Freedom, in.spanText(v.Interval))
			}
		}
		if len(g.Runs) > 1 {
			for _, r := range g.Runs {
				row("1, repeats, run "+r.Run, r.Level1)
				row("2, means of days, run "+r.Run, r.Level2)
			}
		}
		row("1, repeats, all", g.Level1)
		row("2, means of days, all", g.Level2)
		if g.Level3 != nil {
			row("3, means of runs", *g.Level3)
		}
	})
	fmt.Fprintf(w, "  Days by themselves: %s%s.", in.number(g.ByDay.Deviation), belowZero(g.ByDay))
	if g.ByRun != nil {
		fmt.Fprintf(w, " Runs by themselves: %s%s.\n", in.number(g.ByRun.Deviation), belowZero(*g.ByRun))
	} else {
		fmt.Fprintln(w, " There is one run: runs are not in these figures.")
	}
	b := g.Budget
	fmt.Fprintf(w, "  Error budget of a mean of %s repeats a day on %s:\n", study.Number(b.Repeats), show.Plural(int(b.Days), "day"))
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "    SOURCE\tSTANDARD DEVIATION\tDEGREES OF FREEDOM\tSQUARED SENSITIVITY")
		for _, t := range b.Terms {
			fmt.Fprintf(tab, "    %s\t%s\t%g\t%s\n", t.Source, in.number(t.Deviation), t.Freedom, study.Number(t.Squared))
		}
	})
	fmt.Fprintf(w, "    standard uncertainty %s, %.1f effective degrees of freedom, k = %.3f, expanded %s\n", in.number(b.Standard), b.Freedom, b.K, in.number(b.Expanded))
}

// belowZero shows a variance that came out below 0.
func belowZero(r study.Remainder) string {
	return show.Only(r.Negative, fmt.Sprintf(" (the variance came out at %s, below 0: it counts as 0, and the budget has it so)", study.Number(r.Estimate)))
}

// renderBiases writes how gauges differ from their mean.
func renderBiases(w io.Writer, in *studyInput, l *study.Levels) {
	if l.Gauges[0].Bias == nil {
		return
	}
	fmt.Fprintln(w, "\nGauges against the mean of all gauges (e-Handbook, 2.6.3.2)")
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprint(tab, "  GAUGE")
		for _, r := range l.Gauges[0].Runs {
			fmt.Fprintf(tab, "\tRUN %s", r.Run)
		}
		fmt.Fprintf(tab, "\tALL\tSTANDARD DEVIATION\tT\tP\t%g %% INTERVAL\n", 100*l.Confidence)
		for _, g := range l.Gauges {
			b := g.Bias
			if b == nil {
				continue
			}
			fmt.Fprintf(tab, "  %s", g.Gauge)
			for _, r := range g.Runs {
				bias := "-"
				if r.Bias != nil {
					bias = study.Number(*r.Bias)
				}
				fmt.Fprintf(tab, "\t%s", bias)
			}
			fmt.Fprintf(tab, "\t%s\t%s\t%s\t%s\t%s\n", study.Number(b.Mean), in.number(b.Deviation), study.Number(b.Test.T), study.Probability(b.Test.P), in.spanText(&b.Interval))
		}
	})
}
