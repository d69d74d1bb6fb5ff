package drift

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// The usual limits of the charts. Together, and with the spread within the checks,
// they point at fewer than 10 % of healthy gauges within 30 checks (docs/figures.md).
// They are ours.
const (
	UsualSingle = 3.4    // limits of a single error, in sigma
	UsualSlack  = 0.4    // of the CUSUM, in sigma
	UsualHeight = 5.7    // likewise
	spreadLevel = 0.0005 // probability that the spread of one healthy check is pointed at
)

// ChartSettings are how control charts are set; what is 0 is as usual.
type ChartSettings struct {
	Known         *Baseline // centre and sigma as they are known otherwise; nil: the charts learn them from the checks
	Single        float64   // limits of a single error, in sigma
	Slack, Height float64   // of the CUSUM, in sigma
	Lambda, Width float64   // of an EWMA, which is charted where its weight is given

	Step   float64 // of the display: an error that is as far off as that is not pointed at; 0: not known
	Series int     // masters whose charts are looked at together, 1 if nothing is said: the usual limits are wider for several
}

// Valid says what is wrong with the settings.
func (s ChartSettings) Valid() error {
	_, err := s.with()
	return err
}

// with fills in what is usual. The bounds are those in which the run lengths are
// known to be right.
func (s ChartSettings) with() (ChartSettings, error) {
	s.Series = max(s.Series, 1)
	most := 12.0
	if s.Slack == 0 && s.Height == 0 {
		// The run length of a CUSUM grows by a factor of m for ln m / 2k of height.
		s.Slack, s.Height = UsualSlack, UsualHeight+math.Log(float64(s.Series))/(2*UsualSlack)
		most = max(most, s.Height)
	}
	if s.Single == 0 {
		s.Single = -uncertainty.NormalQuantile(distuv.UnitNormal.CDF(-UsualSingle) / float64(s.Series))
	}
	for _, one := range []struct {
		value, low, high  float64
		chart, what, hint string
		wanted            bool
	}{
		{s.Single, 1, 8, SingleChart, "drift.setting.width", "3.4", true},
		{s.Slack, 0.1, 2, CUSUMChart, "drift.setting.slack", "0.4", true},
		{s.Height, 1, most, CUSUMChart, "drift.setting.height", "5.7", true},
		{s.Lambda, 0.05, 1, EWMAChart, "drift.setting.weight", "0.2", s.Lambda != 0 || s.Width != 0},
		{s.Width, 1, 5, EWMAChart, "drift.setting.width", "2.962", s.Lambda != 0 || s.Width != 0},
	} {
		if one.wanted && !(one.value >= one.low && one.value <= one.high) {
			return s, gauge.WrongInput("refusal.drift.setting", gauge.Word("what", one.what), given(one.value), gauge.WordOf("chart", "drift.chart", strings.ToLower(one.chart)),
				plain("low", one.low), plain("high", one.high), gauge.Shown("usual", one.hint, gauge.UnitUnknown))
		}
	}
	if b := s.Known; b != nil && (!finite(b.Centre) || !finite(b.Sigma) || !(b.Sigma > 0)) {
		return s, gauge.WrongInput("refusal.drift.sigma", given(b.Sigma))
	}
	if !finite(s.Step) || s.Step < 0 {
		return s, gauge.WrongInput("refusal.drift.step", given(s.Step))
	}
	return s, nil
}
