package show

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	pb "gauged/api/gauged/v1"
)

// GradeText names a grade: part number, marking and thickness.
func GradeText(g *pb.Grade) string {
	text := cmp.Or(g.GetPart(), "the part")
	if g.GetMark() != "" {
		text += ", marked " + g.GetMark()
	}
	if g.GetThickness() != nil {
		text += ", " + LengthText(g.GetThickness()) + " thick"
	}
	return text
}

// FittedText names the part that was fitted.
func FittedText(f *pb.FittedPart) string {
	text := cmp.Or(f.GetPart(), "the part")
	switch {
	case f.GetThickness() == nil:
		return text + ", thickness not known"
	case f.GetMeasured():
		return Say("sheet.fitted.measured", text, LengthText(f.GetThickness()))
	default:
		return Say("sheet.fitted.nominal", text, LengthText(f.GetThickness()))
	}
}

// neighbourhood returns the bounds [from, to) of the candidates that fit and
// of the nearest one on each side, of all when there are none such.
func neighbourhood(e *pb.Fit) (from, to int) {
	all := e.GetCandidates()
	if e.GetAim() != nil && e.GetWindow() == nil && e.GetGap() == nil { // a stated thickness: any grade will do, the near ones matter
		if i := slices.IndexFunc(all, func(c *pb.Candidate) bool { return same(c, e.GetChoice()) }); i >= 0 {
			return max(i-2, 0), min(i+3, len(all))
		}
	}
	for i, c := range all {
		if c.GetFits() || same(c, e.GetThinner()) || same(c, e.GetThicker()) {
			if to == 0 {
				from = i
			}
			to = i + 1
		}
	}
	if to == 0 {
		return 0, len(all)
	}
	return from, to
}

// same reports whether a and b are the same grade; b may be absent.
func same(a, b *pb.Candidate) bool {
	return b != nil && a.GetGrade().GetPart() == b.GetGrade().GetPart()
}

// shortFamily is the number of grades up to which all of them are shown.
const shortFamily = 8

func renderGrades(w io.Writer, e *pb.Fit) {
	all := e.GetCandidates()
	if len(all) == 0 {
		return
	}
	from, to := 0, len(all)
	if len(all) > shortFamily {
		from, to = neighbourhood(e)
	}
	fmt.Fprintln(w, "\n"+Say("parts.grades"))
	table := slices.ContainsFunc(all, func(c *pb.Candidate) bool { return c.GetGrade().GetServes() != nil })
	known := slices.ContainsFunc(all, func(c *pb.Candidate) bool { return c.Probability != nil })
	worst := slices.ContainsFunc(all, func(c *pb.Candidate) bool { return c.GetWorst() != nil })
	Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  \tPART\tMARK\tTHICKNESS\t%sGIVES\t%s%sSTOCK\tNOTE\n", Only(table, "FOR GAPS\t"), Only(worst, "WORST CASE\t"), Only(known, "INSIDE\t"))
		for _, c := range all[from:to] {
			g := c.GetGrade()
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\t%s%s\t%s%s%s\t%s\n", Only(same(c, e.GetChoice()), "->"), g.GetPart(), OrDash(g.GetMark()), thicknessText(g),
				Only(table, RangeText(g.GetServes())+"\t"), playBetweenText(e.GetClosingDimension(), c.GetPlay(), c.GetBetween()), Only(worst, worstText(e.GetClosingDimension(), c.GetWorst())+"\t"), Only(known, ProbabilityText(c.Probability)+"\t"), StockText(g), gradeNote(e, c))
		}
	})
	if hidden := from + len(all) - to; hidden > 0 {
		fmt.Fprintf(w, "  (%d thinner and %d thicker not shown)\n", from, len(all)-to)
	}
	renderUnstated(w, e.GetUnstated())
}

// worstText is between which ends a play lies at worst; a dash where no tolerance
// is stated.
func worstText(word pb.ClosingDimension, worst *pb.Range) string {
	if worst == nil {
		return "-"
	}
	return PlayRangeText(word, worst)
}

// renderUnstated says what does not count in the probabilities above.
func renderUnstated(w io.Writer, measurements []string) {
	if len(measurements) > 0 {
		fmt.Fprintln(w, "  "+Say("sheet.unstated", strings.Join(measurements, ", ")))
	}
}

// Only returns text where it is wanted.
func Only(wanted bool, text string) string {
	if wanted {
		return text
	}
	return ""
}

func thicknessText(g *pb.Grade) string {
	if g.GetPlus() != nil {
		return LengthText(g.GetThickness()) + " +" + LengthText(g.GetPlus()) + " -" + LengthText(g.GetMinus())
	}
	if g.GetTolerance() == nil {
		return LengthText(g.GetThickness())
	}
	return LengthText(g.GetThickness()) + " +/- " + LengthText(g.GetTolerance())
}

// StockText tells how many there are; a dash where nobody counts.
func StockText(g *pb.Grade) string {
	if g.Stock == nil {
		return "-"
	}
	return fmt.Sprint(g.GetStock())
}

func gradeNote(e *pb.Fit, c *pb.Candidate) string {
	note := ""
	switch {
	case same(c, e.GetChoice()):
		note = Say("sheet.note.recommended")
	case c.GetPassedOver() != nil:
		note = "skipped: " + Told(c.GetPassedOver())
	case c.GetFits():
		note = "fits"
	case same(c, e.GetThinner()):
		note = Say("sheet.note.thinner")
	case same(c, e.GetThicker()):
		note = Say("sheet.note.thicker")
	}
	if f := e.GetFitted(); f != nil && f.GetPart() == c.GetGrade().GetPart() {
		note = join(note, "fitted")
	}
	return note
}
