package study

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"gauged/internal/cli/app"
	"gauged/internal/health/study"
	"gauged/internal/health/studychart"
	"gauged/internal/words"
)

// The size of a chart in a terminal, in characters.
const (
	chartWidth  = 72
	chartHeight = 14
)

// showStudy writes a study: as JSON, or as tables and charts; and the charts as
// SVG where that is asked for.
func showStudy(a *app.App, in *studyInput, s *study.Study) error {
	if err := in.saveSVG(s); err != nil {
		return err
	}
	return a.ShowValue(s.Figures(), func(w io.Writer) error {
		renderStudy(w, in, s)
		drawings, err := in.drawings(s)
		if err != nil {
			return err
		}
		for _, c := range drawings {
			fmt.Fprintf(w, "\n%s", c.Text(chartWidth, chartHeight))
		}
		return nil
	})
}

// drawings are the charts of a study in English.
func (in *studyInput) drawings(s *study.Study) ([]studychart.Named, error) {
	return studychart.Of(s, in.unit, words.In(words.English), nil)
}

// saveSVG writes each chart into the directory that was asked for, which is made
// when it is missing.
func (in *studyInput) saveSVG(s *study.Study) error {
	if in.svg == "" {
		return nil
	}
	if err := os.MkdirAll(in.svg, 0o755); err != nil {
		return fmt.Errorf("writing the charts: %w", err)
	}
	drawings, err := in.drawings(s)
	if err != nil {
		return err
	}
	for _, c := range drawings {
		if err := os.WriteFile(filepath.Join(in.svg, c.Name+".svg"), []byte(c.SVG()), 0o644); err != nil {
			return fmt.Errorf("writing the charts: %w", err)
		}
	}
	return nil
}

// renderStudy writes the figures of a study.
func renderStudy(w io.Writer, in *studyInput, s *study.Study) {
	switch {
	case s.Variation != nil:
		renderVariation(w, in, s.Variation)
	case s.Levels != nil:
		renderLevels(w, in, s.Levels)
	case s.OneWay != nil:
		renderOneWay(w, in, s.OneWay)
	case s.Bias != nil:
		renderBias(w, in, s.Bias)
	case s.Linearity != nil:
		renderLinearity(w, in, s.Linearity)
	case s.Stability != nil:
		renderStability(w, in, s.Stability, s.Data.Has(study.Reference))
	default:
		renderCapability(w, in, s.Capability)
	}
}
