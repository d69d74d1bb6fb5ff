package drift

import "fmt"

// ChartSettings are how control charts are set; what is 0 is as usual.
type ChartSettings struct {
	Known         *Baseline // centre and sigma as they are known otherwise; nil: from the first checks
	Lambda, Width float64   // of the EWMA
	Slack, Height float64   // of the CUSUM, in sigma
}

// Valid says what is wrong with the settings.
func (s ChartSettings) Valid() error {
	_, err := s.with()
	return err
}

// with fills in what is usual. The bounds are those in which the run lengths are
// known to be right.
func (s ChartSettings) with() (ChartSettings, error) {
	for _, one := range []struct {
		field             *float64
		usual, low, high  float64
		chart, what, hint string
	}{
		{&s.Lambda, UsualLambda, 0.05, 1, EWMAChart, "weight", "0.2"},
		{&s.Width, UsualWidth, 1, 5, EWMAChart, "width", "2.962"},
		{&s.Slack, UsualSlack, 0.1, 2, CUSUMChart, "slack", "0.5"},
		{&s.Height, UsualHeight, 1, 12, CUSUMChart, "height", "5"},
	} {
		if *one.field == 0 {
			*one.field = one.usual
		}
		if x := *one.field; !(x >= one.low && x <= one.high) {
			return s, fmt.Errorf("the %s %g of the %s is not between %g and %g: the usual one is %s", one.what, x, one.chart, one.low, one.high, one.hint)
		}
	}
	if b := s.Known; b != nil && (!finite(b.Centre) || !finite(b.Sigma) || !(b.Sigma > 0)) {
		return s, fmt.Errorf("the sigma %g of the charts is not above 0", b.Sigma)
	}
	return s, nil
}

// baseline is what the charts compare checks with, and the number of checks that it
// is made from; refused says why there is none.
func (s ChartSettings) baseline(checks []Check, first int) (b Baseline, made int, refused string) {
	if s.Known != nil {
		return *s.Known, 0, ""
	}
	if len(checks) <= first {
		return b, 0, fmt.Sprintf("the limits are made from the first %d checks, and there must be one more: there are %d; a shorter baseline of %d or more can be asked for", first, len(checks), LeastBaseline)
	}
	var found []float64
	for _, c := range checks[:first] {
		found = append(found, c.Found)
	}
	b, err := BaselineOf(found)
	return b, first, text(err)
}
