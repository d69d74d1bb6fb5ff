package recall

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"

	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"

	"google.golang.org/protobuf/types/known/timestamppb"
)

//go:embed recall_report.html
var recallPage string

// recallReport is a recall in words, for people who decide what to do.
type recallReport struct {
	Gauge     string // empty: it has no name
	Written   string
	Jobs      string   // how many, since when
	Error     string   // as found, with its standard uncertainty
	Found     string   // how and when
	Model     string   // how it came about
	Notes     []string // what to know of how it was computed
	Turned    uint32
	Undecided uint32
	Groups    []recallGroup
	Cautions  []string
	Signs     []string // what is signed for
}

// recallGroup is the jobs of which the same became.
type recallGroup struct {
	Title string
	Rows  []recallRow
}

// newRecallReport is for an answer at a time.
func newRecallReport(gaugeID string, r *pb.RecallResponse, now time.Time) *recallReport {
	of := gaugeID
	if of == "" {
		of = "the gauge"
	}
	since := ""
	if r.GetSinceTime() != nil {
		since = " since " + show.TimeText(r.GetSinceTime())
	}
	report := &recallReport{
		Gauge: gaugeID, Written: show.MomentText(timestamppb.New(now)),
		Jobs:  fmt.Sprintf("%s measured with %s%s", show.Plural(len(r.GetItems()), "job"), of, since),
		Error: recallError(r), Found: recallFound(r), Model: recallModel(r), Notes: recallNotes(r),
		Turned: r.GetTurnedCount(), Undecided: r.GetUndecidedCount(),
		Cautions: []string{
			show.Say("recall.caution"),
			"The manual and the rules say who must be told, whether a unit may still be run, and how it is brought back.",
			"A unit that is probably within its limits is not proven to be. Measure it again with a good gauge.",
		},
		Signs: []string{"Prepared by", "Reviewed by (quality)", "Decision and date"},
	}
	titles := []struct {
		change pb.RecallChange
		title  string
	}{
		{pb.RecallChange_RECALL_CHANGE_TURNED, "Verdicts that change"},
		{pb.RecallChange_RECALL_CHANGE_UNDECIDED, "Now undecided"},
		{pb.RecallChange_RECALL_CHANGE_KEPT, "Unchanged"},
	}
	for _, t := range titles {
		g := recallGroup{Title: t.title}
		for _, i := range r.GetItems() {
			if i.GetChange() == t.change {
				g.Rows = append(g.Rows, newRecallRow(i))
			}
		}
		if len(g.Rows) > 0 {
			report.Groups = append(report.Groups, g)
		}
	}
	return report
}

// recallError is the error that was taken off: one, or from place to place.
func recallError(r *pb.RecallResponse) string {
	if len(r.GetPoints()) < 2 {
		text := show.SignedText(r.GetError())
		if s := r.GetStandardUncertainty(); s.GetPicometres() != 0 {
			text += " (standard uncertainty " + show.LengthText(s) + ")"
		}
		return text
	}
	var places []string
	for _, p := range r.GetPoints() {
		unit := show.UnitSymbol(p.GetUnit())
		off := p.GetError()
		if !strings.HasPrefix(off, "-") && strings.Trim(off, "0.") != "" {
			off = "+" + off
		}
		text := fmt.Sprintf("%s %s at %s %s", off, unit, p.GetReading(), unit)
		if s := p.GetStandardUncertainty(); s != "" {
			text += " (standard uncertainty " + s + " " + unit + ")"
		}
		places = append(places, text)
	}
	return strings.Join(places, ", ") + ", and interpolated between them"
}

// recallNotes say what is less sure than it looks.
func recallNotes(r *pb.RecallResponse) (notes []string) {
	points := r.GetPoints()
	if len(points) == 1 {
		notes = append(notes, fmt.Sprintf("Error found at %s %s. %s", points[0].GetReading(), show.UnitSymbol(points[0].GetUnit()), show.Say("recall.one-place")))
	}
	if n := r.GetBeyondCount(); n > 0 {
		notes = append(notes, show.Say("recall.beyond", n))
	}
	if n := r.GetByLimitsCount(); n > 0 {
		notes = append(notes, show.Say("recall.by-limits", n))
	}
	if len(r.GetItems()) > 0 && r.GetModel() != pb.RecallModel_RECALL_MODEL_FROM_WORK {
		notes = append(notes, unstatedNotes(r)...)
	}
	return notes
}

// unstatedNotes name the places at which the uncertainty of the error is not stated.
func unstatedNotes(r *pb.RecallResponse) []string {
	var places []string
	for _, p := range r.GetPoints() {
		if strings.Trim(p.GetStandardUncertainty(), "0.") == "" {
			places = append(places, p.GetReading())
		}
	}
	switch n := len(places); {
	case len(r.GetPoints()) < 2 && r.GetStandardUncertainty().GetPicometres() == 0, n > 0 && n == len(r.GetPoints()):
		return []string{"The uncertainty of the error is not stated; it counts as zero."}
	case n > 0:
		return []string{fmt.Sprintf("The uncertainty of the error at %s %s is not stated; it counts as zero.", strings.Join(places, ", "), show.UnitSymbol(r.GetPoints()[0].GetUnit()))}
	}
	return nil
}

// recallFound says how the error was found.
func recallFound(r *pb.RecallResponse) string {
	c := r.GetCheck()
	switch {
	case r.GetModel() == pb.RecallModel_RECALL_MODEL_FROM_WORK:
		return "estimated from the jobs themselves and the checks, as of " + show.TimeText(r.GetUntilTime())
	case c == nil:
		return "as given"
	case c.GetBy() == "":
		return "found by the check of " + show.TimeText(c.GetTime())
	}
	return fmt.Sprintf("found by the check of %s by %s", show.TimeText(c.GetTime()), c.GetBy())
}

// recallModel says how the error came about.
func recallModel(r *pb.RecallResponse) string {
	model := "constant"
	switch r.GetModel() {
	case pb.RecallModel_RECALL_MODEL_GROWING:
		model = fmt.Sprintf("grown evenly from zero on %s to its full size on %s", show.TimeText(r.GetSinceTime()), show.TimeText(r.GetUntilTime()))
	case pb.RecallModel_RECALL_MODEL_FROM_WORK:
		model = show.Say("recall.model.from-work") + "; the size stated is that at the end"
	}
	switch {
	case r.GetAdjusted():
		model += fmt.Sprintf("; the gauge was adjusted on %s, later jobs are not affected", show.TimeText(r.GetUntilTime()))
	case r.GetGoodAgainTime() != nil:
		model += fmt.Sprintf("; the gauge was good again on %s, later jobs are not affected", show.TimeText(r.GetGoodAgainTime()))
	}
	return model
}

// write writes the report as one page that needs nothing else.
func (r *recallReport) write(name string) error {
	page, err := template.New("recall").Parse(recallPage)
	if err != nil {
		return fmt.Errorf("the page of the report: %w", err)
	}
	return writeFile(name, "the report", func(w io.Writer) error { return page.Execute(w, r) })
}

// text writes the report as plain text.
func (r *recallReport) text(w io.Writer) {
	fmt.Fprintf(w, "RECALL")
	if r.Gauge != "" {
		fmt.Fprintf(w, " of what was measured with %s", r.Gauge)
	}
	fmt.Fprintf(w, "\n\n%s.\nError: %s, %s.\nIt was %s.\n%s, %d undecided now.\nWritten %s.\n",
		r.Jobs, r.Error, r.Found, r.Model, show.Plural(int(r.Turned), "verdict")+changes(r.Turned), r.Undecided, r.Written)
	for _, note := range r.Notes {
		fmt.Fprintf(w, "! %s\n", note)
	}
	for _, g := range r.Groups {
		fmt.Fprintf(w, "\n%s (%d)\n", g.Title, len(g.Rows))
		show.Columns(w, func(tab io.Writer) {
			fmt.Fprintln(tab, "UNIT\tJOB\tSTARTED\tBEFORE\tNOW\tMEASURED\tCORRECTION\tCORRECTED\tLIMITS\tPROBABILITY")
			for _, i := range g.Rows {
				fmt.Fprintf(tab, "%s\t%d\t%s\t%s\n", i.Serial, i.Job, i.Started, i.values())
				for _, r := range i.Results {
					fmt.Fprintf(tab, "%s\t\t\t%s\n", r.Name, r.values())
				}
			}
		})
	}
	fmt.Fprintln(w)
	for _, c := range r.Cautions {
		fmt.Fprintf(w, "! %s\n", c)
	}
	for _, s := range r.Signs {
		fmt.Fprintf(w, "\n%-24s ________________________________\n", s)
	}
}
