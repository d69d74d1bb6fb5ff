package main

import (
	"errors"
	"fmt"
	"math/big"
	"time"

	"gauged/internal/drift"
	"gauged/internal/study"
)

// checkClock reads the times of checks: dates, or numbers of any unit, all alike.
type checkClock struct {
	begun bool
	first *big.Rat // of numbers; nil: they are dates
}

// numberEpoch is the date at which times that are numbers begin: one of them is a
// day. It is never shown.
var numberEpoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// farthest is how far numbers may lie apart.
const farthest = 100_000

func (k *checkClock) read(text string) (time.Time, error) {
	if t, err := parseCheckTime(text); err == nil {
		if k.first != nil {
			return t, fmt.Errorf("%q is a date, and the times before it are numbers: write all alike", text)
		}
		k.begun = true
		return t, nil
	}
	x, err := study.ParseNumber(text)
	switch {
	case err != nil:
		return time.Time{}, fmt.Errorf("%q is not a time: write 2026-03-31 or 2026-03-31T14:05:00Z, or a number for each check", text)
	case k.begun && k.first == nil:
		return time.Time{}, fmt.Errorf("%q is a number, and the times before it are dates: write all alike", text)
	case !k.begun:
		k.begun, k.first = true, x
	}
	apart := study.Float(new(big.Rat).Sub(x, k.first))
	if apart > farthest || apart < -farthest {
		return time.Time{}, errors.New("times that are numbers lie within 100000 of each other: use a larger unit")
	}
	return numberEpoch.Add(time.Duration(apart * 24 * float64(time.Hour))), nil
}

// numeric says that the times are numbers.
func (k *checkClock) numeric() bool { return k.first != nil }

// number is the time as it was written.
func (k *checkClock) number(t time.Time) float64 {
	return study.Float(k.first) + drift.Days(numberEpoch, t)
}

func parseCheckTime(text string) (time.Time, error) {
	for _, form := range []string{time.DateOnly, time.RFC3339} {
		if t, err := time.Parse(form, text); err == nil && t.Year() >= 1900 && t.Year() < 2200 {
			return t.UTC(), nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is not a time: write 2026-03-31 or 2026-03-31T14:05:00Z", text)
}
