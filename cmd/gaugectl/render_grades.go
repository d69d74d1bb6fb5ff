package main

import (
	"fmt"
	"io"

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

// gives says which play a grade gives; tables that choose by the gap alone do not tell.
func gives(c *pb.Candidate) string {
	if c.GetPlay() == nil {
		return ""
	}
	return fmt.Sprintf(" It gives %s.", playText(c.GetPlay()))
}

// side tells on which side of the wanted range a candidate lies: -1 below, 0
// inside, +1 above. It goes by the play, or by the gap that the grade serves.
func side(e *pb.Evaluation, c *pb.Candidate) int {
	if c.GetFits() {
		return 0
	}
	if c.GetPlay() != nil {
		if allowed := e.GetAllowedPlay(); allowed.GetMin() != nil && c.GetPlay().GetPicometres() < allowed.GetMin().GetPicometres() {
			return -1
		}
		return +1
	}
	if serves := c.GetGrade().GetServes(); serves.GetMax() != nil && serves.GetMax().GetPicometres() < e.GetGap().GetPicometres() {
		return -1
	}
	return +1
}

// neighbourhood returns the bounds [from, to) of the candidates that fit and
// of the nearest one on each side. When none fits, the nearest ones are where
// the candidates go over from one side to the other, or the first or last of
// the family when all lie on one side.
func neighbourhood(e *pb.Evaluation) (from, to int) {
	all := e.GetCandidates()
	if len(all) == 0 {
		return 0, 0
	}
	first, last := -1, -1
	for i, c := range all {
		if c.GetFits() {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first >= 0 {
		return max(first-1, 0), min(last+2, len(all))
	}
	for i := 1; i < len(all); i++ {
		if side(e, all[i-1]) != side(e, all[i]) {
			return i - 1, i + 1
		}
	}
	return nearestEnd(e)
}

// nearestEnd is the neighbourhood when every grade lies on the same side.
func nearestEnd(e *pb.Evaluation) (from, to int) {
	all := e.GetCandidates()
	if distance(e, all[0]) < distance(e, all[len(all)-1]) {
		return 0, 1
	}
	return len(all) - 1, len(all)
}

// distance is how far a candidate is from where it would fit, in picometres.
func distance(e *pb.Evaluation, c *pb.Candidate) int64 {
	at, wanted := c.GetPlay(), e.GetAllowedPlay()
	if at == nil {
		at, wanted = e.GetGap(), c.GetGrade().GetServes()
	}
	return max(wanted.GetMin().GetPicometres()-at.GetPicometres(), at.GetPicometres()-wanted.GetMax().GetPicometres(), 0)
}

// nearestLines names the grades on both sides with what they would give.
func nearestLines(e *pb.Evaluation) []string {
	var lines []string
	from, to := neighbourhood(e)
	for _, c := range e.GetCandidates()[from:to] {
		line := "Nearest: " + gradeText(c.GetGrade())
		if c.GetPlay() != nil {
			line += ", would give " + playText(c.GetPlay())
		} else if c.GetGrade().GetServes() != nil {
			line += ", serves a gap of " + rangeText(c.GetGrade().GetServes())
		}
		if c.GetPassedOver() != "" {
			line += "; passed over: " + c.GetPassedOver()
		}
		lines = append(lines, line+".")
	}
	return lines
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
	columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  \tPART\tMARK\tTHICKNESS\t%s\tSTOCK\tNOTE\n", givesTitle(all))
		for _, c := range all[from:to] {
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\n", arrow(e, c), c.GetGrade().GetPart(), orDash(c.GetGrade().GetMark()),
				thicknessText(c.GetGrade()), givesCell(c), stockText(c.GetGrade()), gradeNote(e, c))
		}
	})
	if hidden := from + len(all) - to; hidden > 0 {
		fmt.Fprintf(w, "  (%d thinner and %d thicker not shown)\n", from, len(all)-to)
	}
}

func isChoice(e *pb.Evaluation, c *pb.Candidate) bool {
	return e.GetChoice() != nil && e.GetChoice().GetGrade().GetPart() == c.GetGrade().GetPart()
}

func arrow(e *pb.Evaluation, c *pb.Candidate) string {
	if isChoice(e, c) {
		return "->"
	}
	return ""
}

func thicknessText(g *pb.Grade) string {
	if g.GetTolerance() == nil {
		return lengthText(g.GetThickness())
	}
	return lengthText(g.GetThickness()) + " +/- " + lengthText(g.GetTolerance())
}

func givesTitle(all []*pb.Candidate) string {
	if all[0].GetPlay() == nil {
		return "SERVES A GAP OF"
	}
	return "WOULD GIVE"
}

func givesCell(c *pb.Candidate) string {
	if c.GetPlay() == nil {
		return rangeText(c.GetGrade().GetServes())
	}
	return playText(c.GetPlay())
}

func stockText(g *pb.Grade) string {
	if g.Stock == nil {
		return "-"
	}
	return fmt.Sprint(g.GetStock())
}

func gradeNote(e *pb.Evaluation, c *pb.Candidate) string {
	switch {
	case isChoice(e, c):
		return "recommended"
	case c.GetPassedOver() != "":
		return "passed over: " + c.GetPassedOver()
	case c.GetFits():
		return "fits"
	default:
		return ""
	}
}
