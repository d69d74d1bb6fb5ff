package drift

import (
	"fmt"
	"io"
	"math"

	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
)

// renderRate writes a trend; per is how many x a rate is shown for.
func (v driftView) renderRate(w io.Writer, r *drift.Rate, refused gauge.Message, per float64, unit string, place func(float64) string) {
	if r == nil {
		fmt.Fprintf(w, "  none: %s\n", show.Says(refused))
		return
	}
	word := show.Say("gauge.insignificant")
	if r.Significant {
		word = "significant"
	}
	weighted := ""
	if r.Weighted {
		weighted = ", weighted by the uncertainties"
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  rate\t%s per %s, standard error %s, %d degrees of freedom%s\t\n", v.signed(r.Rate*per), unit, v.value(r.RateError*per), r.DoF, weighted)
		fmt.Fprintf(tab, "  95 %% interval\t%s to %s per %s: %s\t\n", v.signed(r.Low*per), v.signed(r.High*per), unit, word)
		scatter := "standard deviation of one check about the trend line"
		if r.Weighted && r.Factor <= 1 {
			scatter = "as the stated uncertainties; the checks scatter no more than that about the trend line"
		}
		fmt.Fprintf(tab, "  scatter\t%s, %s\t\n", v.value(r.SD), scatter)
		shared := ""
		if r.Shared > 0 {
			shared = ", of which " + v.value(r.Shared) + " is shared by all checks"
		}
		fmt.Fprintf(tab, "  trend at %s\t%s, standard uncertainty %s%s\t\n", place(r.Last), v.signed(r.Now), v.value(r.NowError), shared)
		if r.Reach != nil {
			limit := r.Reach.Limit
			if r.Reach.Outside && !r.Reach.Significant {
				limit = math.Copysign(limit, r.Now)
			}
			fmt.Fprintf(tab, "  limit %s\t%s\t\n", v.signed(limit), reachText(r, place))
		}
		if !r.Doubt.IsZero() {
			fmt.Fprintf(tab, "  limit\t%s\t\n", show.Says(r.Doubt))
		}
	})
	renderRateRemarks(w, r)
}

// renderRateRemarks writes what to beware of.
func renderRateRemarks(w io.Writer, r *drift.Rate) {
	if r.Calm {
		fmt.Fprintf(w, "  ! %s State it in the column shared, such as that of the master's certificate.\n", show.Say("drift.calm"))
	}
	if r.Reach != nil && r.Reach.Outside {
		fmt.Fprintf(w, "  ! The trend is already outside a limit.\n")
	}
	if r.Far {
		fmt.Fprintf(w, "  ! The limit is further ahead than the checks reach back. The rate may change before then.\n")
	}
}

func reachText(r *drift.Rate, place func(float64) string) string {
	switch {
	case !r.Reach.Significant && r.Reach.Outside:
		return show.Say("drift.outside") + ", but the rate is not significant"
	case !r.Reach.Significant:
		return show.Say("drift.never")
	case r.Reach.X < r.Last:
		return fmt.Sprintf("was reached at %s; 95 %% interval %s to %s", place(r.Reach.X), place(r.Reach.Early), place(r.Reach.Late))
	}
	return fmt.Sprintf("reached at %s; 95 %% interval %s to %s (Fieller)", place(r.Reach.X), place(r.Reach.Early), place(r.Reach.Late))
}
