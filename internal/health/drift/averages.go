package drift

import "math"

// limits are width sigma on both sides of the centre.
func (b Baseline) limits(width float64) (low, high float64) {
	return b.Centre - width*b.Sigma, b.Centre + width*b.Sigma
}

// EWMA is the chart of the exponentially weighted moving average, with the
// asymptotic limits (NIST/SEMATECH e-Handbook, 6.3.2.4). It is of fixed size.
type EWMA struct {
	Baseline
	Lambda float64 // weight of the newest error
	Width  float64 // of the limits, in standard deviations of the average
	Value  float64
}

// NewEWMA returns the chart, which begins at the centre.
func NewEWMA(b Baseline, lambda, width float64) *EWMA {
	return &EWMA{Baseline: b, Lambda: lambda, Width: width, Value: b.Centre}
}

// Limits returns the lower and the upper limit of the average.
func (c *EWMA) Limits() (low, high float64) {
	return c.limits(c.Width * math.Sqrt(c.Lambda/(2-c.Lambda)))
}

// Add takes the next error and says whether the average is outside.
func (c *EWMA) Add(x float64) bool {
	c.Value += c.Lambda * (x - c.Value)
	low, high := c.Limits()
	return c.Value < low || c.Value > high
}

// Reset begins anew, as after an adjustment.
func (c *EWMA) Reset() { c.Value = c.Centre }

// CUSUM is the tabular cumulative sum chart, two-sided (NIST/SEMATECH
// e-Handbook, 6.3.2.3). It is of fixed size.
type CUSUM struct {
	Baseline
	Slack     float64 // k, in sigma: half the shift that it looks for
	Height    float64 // h, in sigma
	High, Low float64 // the sums, in the unit of the errors, 0 or more
}

// NewCUSUM returns the chart, which begins at 0.
func NewCUSUM(b Baseline, slack, height float64) *CUSUM {
	return &CUSUM{Baseline: b, Slack: slack, Height: height}
}

// Limit is what neither sum may exceed.
func (c *CUSUM) Limit() float64 { return c.Height * c.Sigma }

// Add takes the next error and says whether a sum is beyond the limit.
func (c *CUSUM) Add(x float64) bool {
	slack := c.Slack * c.Sigma
	c.High = max(0, c.High+x-c.Centre-slack)
	c.Low = max(0, c.Low+c.Centre-x-slack)
	return c.High > c.Limit() || c.Low > c.Limit()
}

// Reset begins anew, as after an adjustment.
func (c *CUSUM) Reset() { c.High, c.Low = 0, 0 }
