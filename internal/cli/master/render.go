package master

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

func checkVerdictText(v pb.CheckVerdict) string {
	switch text := show.CheckText(v); v {
	case pb.CheckVerdict_CHECK_VERDICT_UNSPECIFIED:
		return "-"
	case pb.CheckVerdict_CHECK_VERDICT_UNDECIDED:
		return text + ": the uncertainty is too large to tell on which side of the limit an error is; take more readings, and such that agree, or use a better master"
	default:
		return text
	}
}

func renderHealth(w io.Writer, h *pb.ListHealthResponse) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "GAUGE\tSTANDING\tLAST CHECK\tRESULT\tWORST ERROR\tLIMIT\tNEXT DUE\tDRIFT PER DAY\tLIMIT REACHED FROM\tCHARTS")
		for _, g := range h.GetGauges() {
			last := g.GetLastCheck()
			result := "never checked"
			if last != nil {
				result = show.CheckText(lastResult(last).GetVerdict())
			}
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", g.GetGaugeId(), show.StandingText(g.GetStanding()), show.DayText(last.GetTime()), result,
				show.SignedText(last.GetFound().GetWorst().GetError()), show.LengthText(last.GetFound().GetLimit()), dueText(g), rateText(g.GetRate()),
				show.DayText(g.GetRate().GetLimitReachedEarlyTime()), chartsText(g))
		}
	})
	for _, g := range h.GetGauges() {
		if g.GetDueReason() != nil && g.GetStanding() == pb.Standing_STANDING_IN_SERVICE {
			fmt.Fprintf(w, "\nA check is due: %s.\n", show.Told(g.GetDueReason()))
		}
		if g.GetStandingReason() != nil {
			fmt.Fprintf(w, "\n%s is %s since %s: %s\n%s", g.GetGaugeId(), show.StandingText(g.GetStanding()), show.TimeText(g.GetStandingSinceTime()), show.Told(g.GetStandingReason()), show.Remedy(g.GetStanding(), g.GetGaugeId()))
		}
		if work := g.GetWork(); work.GetAlarm() {
			fmt.Fprintf(w, "\nSince its last check, the jobs suggest that %s has an error of %+.1f um (standard uncertainty %.1f um). Check it.\n",
				g.GetGaugeId(), microns(work.GetError()), microns(work.GetStandardUncertainty()))
			if suspects := work.GetSuspectGaugeIds(); len(suspects) > 1 {
				fmt.Fprintf(w, "The jobs alone cannot tell which of these gauges it is: %s.\n", strings.Join(suspects, ", "))
			}
		}
	}
}

func renderMasters(w io.Writer, masters []*pb.Master) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "MASTER\tVALUE AT 20 degC\tCALIBRATION DUE\tTITLE")
		for _, m := range masters {
			due := show.DayText(m.GetDueTime())
			if m.GetOverdue() {
				due += ", OVERDUE"
			}
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\n", m.GetId(), show.LengthText(m.GetValue()), due, m.GetTitle())
		}
	})
}

// lastResult is that with which the gauge went on.
func lastResult(c *pb.MasterCheck) *pb.CheckResult {
	if c.GetLeft() != nil {
		return c.GetLeft()
	}
	return c.GetFound()
}

func dueText(g *pb.GaugeHealth) string {
	switch {
	case g.GetStanding() == pb.Standing_STANDING_SUSPECT:
		return "now (suspect)"
	case g.GetStanding() == pb.Standing_STANDING_OUT_FOR_CALIBRATION:
		return show.Say("gauge.remedy.due.bring-back")
	case g.GetStanding() == pb.Standing_STANDING_RETIRED, g.GetStanding() == pb.Standing_STANDING_UNKNOWN:
		return "-"
	case g.GetOverdue():
		return "now"
	case g.GetPlan().GetBeforeEachJob():
		return show.Say("gauge.due.once-used")
	case g.GetDueTime() == nil:
		return "-"
	}
	return show.DayText(g.GetDueTime())
}

// microns is a small length in micrometres.
func microns(q *pb.Quantity) float64 { return float64(wire.FromQuantity(q)) / 1e6 }

func rateText(r *pb.DriftRate) string {
	if r == nil {
		return "-"
	}
	text := fmt.Sprintf("%+.3f um (se %.3f)", microns(r.GetRatePerDay()), microns(r.GetStandardErrorPerDay()))
	if !r.GetSignificant() {
		text += ", " + show.Say("gauge.insignificant")
	}
	return text
}

func chartsText(g *pb.GaugeHealth) string {
	charts := g.GetCharts()
	if len(charts) == 0 {
		return "-"
	}
	var signals []string
	for _, chart := range charts {
		var points []string
		for _, s := range g.GetSignals() {
			if s.GetChart() == chart {
				points = append(points, s.GetPoint())
			}
		}
		if len(points) > 0 {
			signals = append(signals, wire.FromChart(chart)+" at "+strings.Join(points, " and "))
		}
	}
	if len(signals) == 0 {
		return show.Say("gauge.chart.calm")
	}
	return "signal: " + strings.Join(signals, ", ")
}

func renderChecks(w io.Writer, checks []*pb.MasterCheck) {
	if len(checks) == 0 {
		fmt.Fprintln(w, show.Say("gauges.unchecked"))
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SEQ\tTIME\tBY\tRESULT\tMEAN ERROR\tDECIDES\tAT\tU (95 %)\tLIMIT\tAS LEFT\tOCCASION\tREMARK")
		for _, c := range checks {
			decides, left := c.GetFound().GetDecides(), "-"
			if c.GetLeft() != nil {
				left = show.SignedText(c.GetLeft().GetDecides().GetError()) + ", " + show.CheckText(c.GetLeft().GetVerdict())
			}
			seq := "-" // it is not stored
			if c.GetSeq() > 0 {
				seq = strconv.FormatUint(c.GetSeq(), 10)
			}
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", seq, show.TimeText(c.GetTime()), c.GetBy(), countedText(c),
				show.SignedText(c.GetFound().GetError()), show.SignedText(decides.GetError()), decides.GetMasterId(), show.LengthText(decides.GetExpandedUncertainty()),
				show.LengthText(c.GetFound().GetLimit()), left, show.OrDash(c.GetOccasion()), show.OrDash(c.GetRemark()))
		}
	})
	renderOrigins(w, checks)
	renderVoided(w, checks)
}

// countedText is the verdict of a check, and that it counts no more.
func countedText(c *pb.MasterCheck) string {
	if c.GetVoided() != nil {
		return "void (" + show.CheckText(c.GetFound().GetVerdict()) + ")"
	}
	return show.CheckText(c.GetFound().GetVerdict())
}

func renderCheck(w io.Writer, c *pb.MasterCheck, g *pb.GaugeHealth) {
	renderResult(w, "As found", c.GetFound())
	if c.GetLeft() != nil {
		renderResult(w, show.Say("check.left"), c.GetLeft())
	}
	if c.GetPartial() != nil {
		fmt.Fprintf(w, "The plan asks for more (%s). Such a check can fail the gauge, but it is not the one that is due.\n", show.Told(c.GetPartial()))
	}
	fmt.Fprintf(w, "%s is %s.", g.GetGaugeId(), show.StandingText(g.GetStanding()))
	fmt.Fprintln(w, nextText(g))
}

// nextText says what comes next: what is to be done now, or when the next check is due.
func nextText(g *pb.GaugeHealth) string {
	switch {
	case g.GetStanding() != pb.Standing_STANDING_IN_SERVICE:
		return " " + strings.TrimSuffix(show.Remedy(g.GetStanding(), g.GetGaugeId()), "\n")
	case g.GetDueReason() != nil:
		return " A check is due: " + show.Told(g.GetDueReason()) + "."
	case g.GetPlan().GetBeforeEachJob():
		return " Next check due: after its next job."
	case g.GetDueTime() != nil:
		return fmt.Sprintf(" Next check due: %s.", show.DayText(g.GetDueTime()))
	}
	return ""
}

func renderResult(w io.Writer, title string, r *pb.CheckResult) {
	fmt.Fprintf(w, "%s: %s\n", title, checkVerdictText(r.GetVerdict()))
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "MASTER\tMEAN\tREFERENCE\tERROR\tU (95 %)\tREADINGS\tRESULT\tWITHIN LIMIT")
		for _, p := range r.GetPoints() {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t%d\t%s\t%s\n", pointText(p), show.LengthText(p.GetMean()), show.LengthText(p.GetReference()),
				show.SignedText(p.GetError()), show.LengthText(p.GetExpandedUncertainty()), p.GetRepeats(), pointVerdict(p), show.ProbabilityText(p.Probability))
		}
	})
	fmt.Fprintf(w, "worst %s at %s; maximum permissible error %s", show.SignedText(r.GetWorst().GetError()), r.GetWorst().GetMasterId(), show.LengthText(r.GetLimit()))
	if r.GetHysteresis() != nil {
		fmt.Fprintf(w, "; hysteresis %s", show.LengthText(r.GetHysteresis()))
	}
	fmt.Fprintln(w)
	for _, p := range r.GetPoints() {
		if p.GetUncorrected() != nil {
			fmt.Fprintf(w, "%s: %s.\n", pointText(p), show.Say("check.uncorrected", show.LengthText(p.GetUncorrected())))
		}
		if p.GetExpansionUnstated() != nil {
			fmt.Fprintf(w, "%s: %s.\n", pointText(p), show.Say("check.unstated", show.LengthText(p.GetExpansionUnstated())))
		}
		if p.GetScatterLarger() {
			fmt.Fprintf(w, "%s: %s (standard deviation %s). Clean gauge and master, and look whether the gauge sticks or is loose.\n", pointText(p), show.Say("check.larger"), show.LengthText(p.GetStandardDeviation()))
		}
		if p.GetScatterUnknown() && r.GetLimit() != nil {
			fmt.Fprintf(w, "%s: %s. Without it the gauge does not pass.\n", pointText(p), show.Say("check.scatter"))
		}
	}
}

func pointText(p *pb.CheckPointResult) string {
	if p.GetFalling() {
		return p.GetMasterId() + ", " + show.Say("check.falling")
	}
	return p.GetMasterId()
}

// pointVerdict is the verdict at a point; a check of before has none.
func pointVerdict(p *pb.CheckPointResult) string {
	if p.GetVerdict() == pb.CheckVerdict_CHECK_VERDICT_UNSPECIFIED {
		return "-"
	}
	return show.CheckText(p.GetVerdict())
}
