package uncertainty

// Model computes a result from the values of its inputs.
type Model func(x []float64) float64
