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
		fmt.Fprintln(tab, "AT\tCHECKS\tLAST\tERROR FOUND THEN\tLINE THERE\tSTANDARD UNCERTAINTY OF IT\tPER "+strings.ToUpper(v.perName())+"\tLIMIT REACHED\t")
		for i, r := range v.Points {
			one := v
			one.at = r
			line, u, rate, reached, remark := "-", "-", "-", "-", ""
			if t := r.ByTime; t != nil {
				line, u, rate = v.signed(t.Now), v.value(t.NowError), v.signed(t.Rate*v.per())
				if !t.Significant {
					rate += " (not significant)"
				}
				switch {
				case r.Beyond != nil:
				case !t.Doubt.IsZero():
					reached = "a step or a rate"
				case t.Reach != nil && t.Reach.Outside:
					reached = "the line is beyond it already"
					if t.Reach.Significant {
						reached += ", since about " + one.date(t.Reach.X)
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
				remark = "no longer checked: it decides nothing"
			case i == v.Decides:
				remark = "decides"
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
	text := "beyond the limit already, since " + v.when(b.Since)
	if b.Inside != nil {
		text += "; last inside on " + v.when(*b.Inside)
	}
	return text
}
