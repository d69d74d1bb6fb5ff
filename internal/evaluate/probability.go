package evaluate

import "gauged/internal/uncertainty"

// Probability counts ten-thousandths.
type Probability = uncertainty.Probability
