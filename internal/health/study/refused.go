package study

import (
	"fmt"

	"gauged/internal/gauge"
)

// refused says where data make no study, and why.
func refused(place, code string, args ...gauge.Arg) error {
	return fmt.Errorf("%s: %w", place, gauge.WrongInput(code, args...))
}

// KindNames are the kinds as they are written.
func KindNames() (names []string) {
	for _, k := range Kinds {
		names = append(names, string(k))
	}
	return names
}
