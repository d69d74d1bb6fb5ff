//go:build !linux

package devices

import (
	"time"

	"gauged/internal/gauge"
)

// noKeyboards says that keyboards cannot be taken on this system.
type noKeyboards struct{}

func newKeyboardDialer(string, time.Duration) Dialer { return noKeyboards{} }

func newSwitchDialer(Switch) Dialer { return noKeyboards{} }

func (noKeyboards) Present() bool { return true }

func (noKeyboards) Dial() (Port, error) {
	return nil, &lineError{message: gauge.Say("because.open.no-keyboards")}
}
