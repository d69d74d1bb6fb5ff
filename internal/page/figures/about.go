package figures

import (
	"fmt"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/study"
	"gauged/internal/health/studychart"
	"gauged/internal/words"
)

// Bias is the bias of a study with the digits that it has; empty where the study asks none.
func Bias(s *study.Study, h study.Headline, u gauge.Unit, w words.Words) string {
	t := &tabler{Words: w, unit: Unit(u)}
	switch {
	case h.Bias == nil:
		return ""
	case s.Bias != nil:
		return t.rounded(s.Bias.Bias, s.Bias.ByDeviation.Error)
	case s.Capability != nil:
		return t.rounded(s.Capability.Bias, s.Capability.BiasTest.Error)
	}
	return Three(w, *h.Bias) + " " + t.unit
}

// About says in a drawing of a study what a reading showed, and leads to its row on the page.
func About(r *health.StudyRecord, w words.Words) studychart.About {
	return func(row study.Row) (note, link string) {
		of := ""
		for _, label := range []string{row.Appraiser, row.Part, row.Group, row.Run, row.Day} {
			if label != "" {
				of += ", " + label
			}
		}
		value := strings.TrimSpace(w.Number(r.Readings[row.Line-1].Value) + " " + Unit(r.Unit))
		note, err := w.Say("study.drawing.note", row.Line, of, value)
		if err != nil {
			return "", ""
		}
		return note, fmt.Sprintf("#reading-%d", row.Line)
	}
}
