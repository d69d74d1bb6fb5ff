package drift

import "time"

// History is the running state of the checks at one point, of fixed size: the
// trends over time and over uses.
type History struct {
	Origin   time.Time // of the first check; days count from it
	Last     Check
	Checks   int
	ByTime   Trend
	ByUse    Trend
	Longest  float64 // days between two checks
	LastGap  float64 // days between the last two
	UseGap   float64 // uses between the last two
	MostUses float64 // uses between two checks
	counted  bool
}

// Add takes the next check, or says what is wrong with it and takes nothing.
func (h *History) Add(c Check) error {
	if h.Checks == 0 {
		if err := c.Valid(nil); err != nil {
			return err
		}
		h.Origin, h.counted = c.Time, true
	} else {
		if err := c.Valid(&h.Last); err != nil {
			return err
		}
		h.LastGap, h.UseGap = Days(h.Last.Time, c.Time), c.Uses-h.Last.Uses
		h.Longest, h.MostUses = max(h.Longest, h.LastGap), max(h.MostUses, h.UseGap)
	}
	h.ByTime.AddCheck(Days(h.Origin, c.Time), c)
	if h.counted = h.counted && (c.Uses > 0 || c.Unused); h.counted {
		h.ByUse.AddCheck(c.Uses, c)
	}
	h.Checks++
	h.Last = c
	return nil
}

// Counted says that every check has its count of uses.
func (h *History) Counted() bool { return h.Checks > 0 && h.counted }

// Break begins a new level after the last check: see [Trend.Break].
func (h *History) Break() {
	h.ByTime.Break()
	h.ByUse.Break()
}
