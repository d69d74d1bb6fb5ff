//go:build !linux

package simulate

import (
	"errors"
	"os"
)

var errNoTerminals = errors.New("simulated gauges need the pseudo-terminals of Linux")

func openTerminal() (*os.File, string, error) { return nil, "", errNoTerminals }

func listening(*os.File) bool { return false }

func writeNow(*os.File, []byte) error { return errNoTerminals }
