package main

import (
	"fmt"
	"io"
	"slices"

	pb "gauged/api/gauged/v1"
)

// gradeText names a grade: part number, marking and thickness.
func gradeText(g *pb.Grade) string {
	text := or(g.GetPart(), "the part")
	if g.GetMark() != "" {
		text += ", marked " + g.GetMark()
	}
	if g.GetThickness() != nil {
		text += ", " + lengthText(g.GetThickness()) + " thick"
	}
	return text
}

// fittedText names the part that was fitted.
func fittedText(f *pb.FittedPart) string {
	text := or(f.GetPart(), "the part")
	switch {
	case f.GetThickness() == nil:
		return text + ", thickness not known"
	case f.GetMeasured():
		return fmt.Sprintf("%s, measured %s thick", text, lengthText(f.GetThickness()))
	default:
		return fmt.Sprintf("%s, nominal %s thick", text, lengthText(f.GetThickness()))
	}
}

// where returns what decides about a candidate and the range it should lie in:
// the gap and the gaps that the grade serves, or the play and the allowed play.
func where(e *pb.Evaluation, c *pb.Candidate) (at *pb.Length, wanted *pb.Range) {
	if serves := c.GetGrade().GetServes(); serves != nil {
		return e.GetGap(), serves
	}
	return c.GetPlay(), e.GetAllowedPlay()
}

// off is how far a candidate is from where it would fit, in picometres,
// negative when it is below.
func off(e *pb.Evaluation, c *pb.Candidate) int64 {
	at, wanted := where(e, c)
	low, high := wanted.GetMin(), wanted.GetMax()
	switch {
	case at == nil:
		return 0
	case low != nil && at.GetPicometres() < low.GetPicometres():
		return at.GetPicometres() - low.GetPicometres()
	case high != nil && at.GetPicometres() > high.GetPicometres():
		return at.GetPicometres() - high.GetPicometres()
	default:
		return 0
	}
}

// neighbourhood returns the bounds [from, to) of the candidates that fit and
// of the nearest one on each side. When none fits, the nearest ones are where
// the candidates go over from one side to the other, or the first or last of
// the family when all lie on one side.
func neighbourhood(e *pb.Evaluation) (from, to int) {
	all := e.GetCandidates()
	fits := func(c *pb.Candidate) bool { return c.GetFits() }
	if first := slices.IndexFunc(all, fits); first >= 0 {
		last := first
		for i := first; i < len(all); i++ {
			if all[i].GetFits() {
				last = i
			}
		}
		return max(first-1, 0), min(last+2, len(all))
	}
	for i := 1; i < len(all); i++ {
		if (off(e, all[i-1]) < 0) != (off(e, all[i]) < 0) {
			return i - 1, i + 1
		}
	}
	first, last := off(e, all[0]), off(e, all[len(all)-1])
	if max(first, -first) < max(last, -last) {
		return 0, 1
	}
	return len(all) - 1, len(all)
}

// shortFamily is the number of grades up to which all of them are shown.
const shortFamily = 8

func renderGrades(w io.Writer, e *pb.Evaluation) {
	all := e.GetCandidates()
	if len(all) == 0 {
		return
	}
	from, to := 0, len(all)
	if len(all) > shortFamily {
		from, to = neighbourhood(e)
	}
	fmt.Fprintln(w, "\nGrades")
	table := slices.ContainsFunc(all, func(c *pb.Candidate) bool { return c.GetGrade().GetServes() != nil })
	columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  \tPART\tMARK\tTHICKNESS\t%sWOULD GIVE\tSTOCK\tNOTE\n", only(table, "SERVES A GAP OF\t"))
		for _, c := range all[from:to] {
			g := c.GetGrade()
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\t%s%s\t%s\t%s\n", only(isChoice(e, c), "->"), g.GetPart(), orDash(g.GetMark()), thicknessText(g),
				only(table, rangeText(g.GetServes())+"\t"), playText(c.GetPlay()), stockText(g), gradeNote(e, c))
		}
	})
	if hidden := from + len(all) - to; hidden > 0 {
		fmt.Fprintf(w, "  (%d thinner and %d thicker not shown)\n", from, len(all)-to)
	}
}

func isChoice(e *pb.Evaluation, c *pb.Candidate) bool {
	return e.GetChoice() != nil && e.GetChoice().GetGrade().GetPart() == c.GetGrade().GetPart()
}

// only returns text where it is wanted.
func only(wanted bool, text string) string {
	if wanted {
		return text
	}
	return ""
}

func thicknessText(g *pb.Grade) string {
	if g.GetTolerance() == nil {
		return lengthText(g.GetThickness())
	}
	return lengthText(g.GetThickness()) + " +/- " + lengthText(g.GetTolerance())
}

func stockText(g *pb.Grade) string {
	if g.Stock == nil {
		return "-"
	}
	return fmt.Sprint(g.GetStock())
}

func gradeNote(e *pb.Evaluation, c *pb.Candidate) string {
	note := only(c.GetFits(), "fits")
	if isChoice(e, c) {
		note = "recommended"
	}
	if c.GetPassedOver() != "" {
		note = "passed over: " + c.GetPassedOver()
	}
	if f := e.GetFitted(); f != nil && f.GetPart() == c.GetGrade().GetPart() {
		note = join(note, "fitted")
	}
	return note
}
