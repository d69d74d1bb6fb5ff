package drift

import (
	"fmt"
	"io"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/health/drift"
)

// renderPoints writes a line for each point.
func (v driftView) renderPoints(w io.Writer) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "MASTER\tCHECKS\tLAST\tERROR FOUND\tTREND VALUE\tSTANDARD UNCERTAINTY\tPER "+strings.ToUpper(v.perName())+"\tLIMIT REACHED\t")
		for i, r := range v.Points {
			one := v
			one.at = r
			line, u, rate, reached, remark := "-", "-", "-", "-", ""
			if t := r.ByTime; t != nil {
				line, u, rate = v.signed(t.Now), v.value(t.NowError), v.signed(t.Rate*v.per())
				if !t.Significant {
					rate += " (" + show.Say("gauge.insignificant") + ")"
				}
				switch {
				case r.Beyond != nil:
				case !t.Doubt.IsZero():
					reached = "a step or a rate"
				case t.Reach != nil && t.Reach.Outside:
					reached = show.Say("drift.outside")
					if t.Reach.Significant {
						reached += ", " + show.Say("drift.since", one.date(t.Reach.X))
					}
				case t.Reach != nil && t.Reach.Significant:
					reached = "from " + one.date(t.Reach.Early) + " on"
				}
			}
			if r.Beyond != nil {
				reached = v.beyond(r.Beyond)
			}
			switch {
			case r.LeftOut:
				remark = show.Say("drift.left-out")
			case i == v.Decides:
				remark = show.Say("drift.decides")
			}
			for _, s := range v.Pointing() {
				if s.Point == r.Point {
					remark = strings.TrimPrefix(remark+"; "+s.Chart+": "+show.Says(s.What), "; ")
				}
			}
			fmt.Fprintf(tab, "%s\t%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.Point, r.Checks, v.when(r.To), v.signed(r.Last), line, u, rate, reached, remark)
		}
	})
}

// beyond says since when the checks found errors beyond the limit.
func (v driftView) beyond(b *drift.Beyond) string {
	text := show.Say("drift.beyond", v.when(b.Since))
	if b.Inside != nil {
		text += "; " + show.Say("drift.inside", v.when(*b.Inside))
	}
	return text
}
