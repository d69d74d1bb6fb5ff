package drift

import (
	"fmt"
	"io"
	"slices"

	"gauged/internal/cli/show"
	"gauged/internal/health/drift"
)

func (v driftView) renderSpreads(w io.Writer) {
	fmt.Fprintln(w, "\nSpread within the checks")
	if v.at.Spreads == nil {
		fmt.Fprintf(w, "  not judged: %s\n", show.Says(v.at.SpreadsRefused))
		return
	}
	fmt.Fprintf(w, "  pooled %s, %d degrees of freedom", v.value(v.at.Spreads.Pooled), v.at.Spreads.DoF)
	if l := v.at.Spreads.Last; l != nil {
		fmt.Fprintf(w, "; last F %s, limit %s, which is a spread of %s (one false alarm in %.0f checks)", number(l.F), number(l.Limit), v.value(l.Most), 1/v.at.Spreads.Level)
	}
	fmt.Fprintln(w)
	v.renderSignals(w, v.at.Spreads.Signals)
}

// renderNoise writes what scatters too much to say anything.
func (v driftView) renderNoise(w io.Writer) {
	for _, n := range v.at.Noise {
		switch n.Kind {
		case drift.NoiseBetween:
			fmt.Fprintf(w, "  ! %s\n", show.Say("control.noise.between-checks", v.value(n.Found), v.value(n.Allowed)))
		case drift.NoiseWithin:
			fmt.Fprintf(w, "  ! %s\n", show.Say("control.noise.within-checks", v.value(n.Found), v.value(n.Allowed)))
		}
	}
}

// renderSignals writes a line for each kind of signal.
func (v driftView) renderSignals(w io.Writer, signals []drift.Signal) {
	for i, s := range signals {
		same := func(o drift.Signal) bool { return o.Chart == s.Chart && o.What.Equal(s.What) }
		if slices.IndexFunc(signals, same) < i {
			continue
		}
		n, last := 0, s
		for _, o := range signals {
			if same(o) {
				n, last = n+1, o
			}
		}
		fmt.Fprintf(w, "  ! %s: %s, %s, check %d", s.Chart, show.Says(s.What), v.when(s.Time), s.Check)
		if n > 1 {
			fmt.Fprintf(w, ", until %s, check %d, %s in all", v.when(last.Time), last.Check, show.Plural(n, "time"))
		}
		fmt.Fprintln(w)
	}
}

func (v driftView) renderCharts(w io.Writer) {
	if v.at.Charts == nil {
		fmt.Fprintf(w, "  none: %s\n", show.Says(v.at.ChartsRefused))
		return
	}
	b := v.at.Charts.Baseline
	if b.Freedom > 0 {
		fmt.Fprintf(w, "  by %s: centre %s, sigma %s (known to %.0f %%); each check is compared with those before it\n\n", show.Plural(v.at.Checks, "check"), v.signed(b.Centre), v.value(b.Sigma), 100*v.at.Charts.SigmaUncertainty)
	} else {
		fmt.Fprintf(w, "  as given: centre %s, sigma %s\n\n", v.signed(b.Centre), v.value(b.Sigma))
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  chart\tnow\tlimits\tsignals\tin control one in\tafter 1 sigma one in\t\n")
		for _, c := range v.at.Charts.Charts {
			fmt.Fprintf(tab, "  %s\t%s\t%s to %s\t%d\t%s\t%.1f\t\n", c.Name, number(c.Value), number(c.Low), number(c.High), c.Signals, many(c.RunLength), c.Shifted)
		}
	})
	v.renderSignals(w, v.at.Charts.Signals)
}

// many writes a run length that may be beyond use.
func many(x float64) string {
	if x > 1e5 {
		return "more than 100000"
	}
	return fmt.Sprintf("%.0f", x)
}
