package evaluate

import "gauged/internal/evaluate/uncertainty"

// Probability counts ten-thousandths.
type Probability = uncertainty.Probability
