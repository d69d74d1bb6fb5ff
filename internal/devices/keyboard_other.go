//go:build !linux

package devices

import (
	"errors"
	"time"
)

// noKeyboards says that keyboards cannot be taken on this system.
type noKeyboards struct{}

func newKeyboardDialer(string, time.Duration) Dialer { return noKeyboards{} }

func newSwitchDialer(Switch) Dialer { return noKeyboards{} }

func (noKeyboards) Present() bool { return true }

func (noKeyboards) Dial() (Port, error) {
	return nil, errors.New("gauges that type like a keyboard, and foot switches, are read on Linux only")
}

func describeKeyboard(name string) string { return "the keyboard " + name }
