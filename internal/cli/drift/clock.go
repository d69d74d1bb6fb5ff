package drift

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/health/study"
	"gauged/internal/table"
)

// checkClock reads the times of checks: dates, or numbers of any unit, all alike.
type checkClock struct {
	begun  bool
	digits int      // after the point, of numbers as they are written
	dates  int      // numbers that look like a date without hyphens
	first  *big.Rat // of numbers; nil: they are dates
}

// numberEpoch is the date at which times that are numbers begin: one of them is a
// day. It is never shown.
var numberEpoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// farthest is how far numbers may lie apart.
const farthest = 100_000

func (k *checkClock) read(text string) (time.Time, error) {
	if t, err := table.Time(text); err == nil {
		if k.first != nil {
			return t, gauge.WrongInput("row.time-is-date", table.Quoted(text))
		}
		k.begun = true
		return t, nil
	}
	x, err := study.ParseNumber(text)
	switch {
	case err != nil:
		return time.Time{}, gauge.WrongInput("row.time-or-number", table.Quoted(text))
	case k.begun && k.first == nil:
		return time.Time{}, gauge.WrongInput("row.time-is-number", table.Quoted(text))
	case !k.begun:
		k.begun, k.first = true, x
	}
	_, after, _ := strings.Cut(text, ".")
	k.digits = max(k.digits, min(len(after), 9))
	if _, err := time.Parse("20060102", text); err == nil && x.Cmp(big.NewRat(19000101, 1)) >= 0 && x.Cmp(big.NewRat(22000101, 1)) < 0 {
		k.dates++
	}
	apart := study.Float(new(big.Rat).Sub(x, k.first))
	if apart > farthest || apart < -farthest {
		return time.Time{}, gauge.WrongInput("row.times-far", gauge.Count("most", farthest))
	}
	return numberEpoch.Add(time.Duration(apart * 24 * float64(time.Hour))), nil
}

// written writes a time that is a number with as many digits as the times have, or as a
// tenth of what they lie apart needs, 0: not asked.
func (k *checkClock) written(x, apart float64) string {
	digits := k.digits
	if apart > 0 {
		digits = max(digits, min(-int(math.Floor(math.Log10(apart/10))), 9))
	}
	text := strconv.FormatFloat(x, 'f', digits, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// numeric says that the times are numbers.
func (k *checkClock) numeric() bool { return k.first != nil }

// number is the time as it was written.
func (k *checkClock) number(t time.Time) float64 {
	return study.Float(k.first) + drift.Days(numberEpoch, t)
}
