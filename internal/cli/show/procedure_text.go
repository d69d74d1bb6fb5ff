package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	pb "gauged/api/gauged/v1"
)

// StepText says what to measure and how.
func StepText(step *pb.MeasurementStep, number, of int) string {
	text := fmt.Sprintf("Measure %d of %d: %s", number, of, step.GetName())
	if step.GetTitle() != "" {
		text += ", " + step.GetTitle()
	}
	text += "\n"
	if step.GetHow() != "" {
		text += "  How: " + strings.TrimSpace(step.GetHow()) + "\n"
	}
	text += "  At least " + Plural(int(step.GetRepeats()), "reading")
	if step.GetAgree() != nil {
		text += "; they must agree within " + LengthText(step.GetAgree())
	}
	if step.GetPlausible() != nil {
		text += "; plausible range " + RangeText(step.GetPlausible())
	}
	return text + ".\n"
}

// ProcedureText names a procedure, with title and edition.
func ProcedureText(p *pb.Procedure) string {
	text := p.GetId()
	if p.GetTitle() != "" {
		text += ": " + p.GetTitle()
	}
	if p.GetEdition() != "" {
		text += ", edition " + p.GetEdition()
	}
	return text
}

// RenderCautions writes the cautions of a procedure and the usual ones.
func RenderCautions(w io.Writer, p *pb.Procedure) {
	fmt.Fprintln(w, "Cautions")
	for _, caution := range slices.Concat(p.GetCautions(), usualCautions()) {
		fmt.Fprintln(w, "  ! "+caution)
	}
}

// usualCautions stand before every job, whatever its procedure says.
func usualCautions() []string {
	return []string{
		Say("job.caution.manual"), Say("job.caution.spring"), Say("job.caution.fingers"), Say("job.caution.load"),
	}
}

// GaugeOf returns the gauge of a measurement, empty when it is typed in.
func GaugeOf(j *pb.Job, measurement string) string {
	if gauge, named := j.GetGaugeIds()[measurement]; named {
		return gauge
	}
	return j.GetGaugeIds()["*"]
}

// The modes of a gauge that sends at the press of its button only, and of one that
// has no connection.
const (
	ModeButton = pb.GaugeMode_GAUGE_MODE_BUTTON
	ModeTyped  = pb.GaugeMode_GAUGE_MODE_TYPED
)
