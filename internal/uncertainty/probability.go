package uncertainty

import (
	"fmt"
	"math"
	"strconv"
)

// Probability counts ten-thousandths: it is rounded once, so that what is
// stored and what decides is the same on every machine.
type Probability int

// Certain is a probability of one.
const Certain Probability = 10_000

// Rounded is a number from 0 to 1 as a Probability, to the nearest
// ten-thousandth. Of what is no number nothing is known: it is one half, which
// decides nothing.
func Rounded(p float64) Probability {
	if math.IsNaN(p) {
		return Certain / 2
	}
	return Probability(math.Round(min(max(p, 0), 1) * float64(Certain)))
}

// Float is the probability from 0 to 1.
func (p Probability) Float() float64 { return float64(p) / float64(Certain) }

// String writes the probability in percent with one decimal; what is not
// certain is never shown as 100 % or as 0 %.
func (p Probability) String() string {
	switch tenths := (p + 5) / 10; {
	case p == Certain:
		return "100 %"
	case p <= 0:
		return "0 %"
	case tenths >= 1000:
		return "over 99.9 %"
	case tenths < 1:
		return "under 0.1 %"
	case tenths%10 == 0:
		return fmt.Sprintf("%d %%", tenths/10)
	default:
		return fmt.Sprintf("%d.%d %%", tenths/10, tenths%10)
	}
}

// MarshalJSON writes the probability as a decimal from 0 to 1.
func (p Probability) MarshalJSON() ([]byte, error) {
	return fmt.Appendf(nil, "%d.%04d", p/Certain, p%Certain), nil
}

// UnmarshalJSON reads what MarshalJSON writes, and nothing else: a decimal from
// 0 to 1 with four places.
func (p *Probability) UnmarshalJSON(text []byte) error {
	const places = 4
	whole := len(text) - places - 1
	if whole == 1 && text[whole] == '.' {
		if n, err := strconv.ParseUint(string(text[:whole])+string(text[whole+1:]), 10, 32); err == nil && Probability(n) <= Certain {
			*p = Probability(n)
			return nil
		}
	}
	return fmt.Errorf("%.40q is no probability: it is a decimal from 0.0000 to 1.0000, with four places", text)
}
