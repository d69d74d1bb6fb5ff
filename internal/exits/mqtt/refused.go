package mqtt

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/eclipse/paho.golang/packets"

	"gauged/internal/gauge"
)

// awayError is that the broker was not reached, or let nobody in: no letter is to blame.
type awayError struct {
	error
	refuses bool // it does not mend itself
}

// Away says that the broker was not reached.
func (awayError) Away() bool { return true }

// Refuses says whether the broker lets nobody in.
func (a awayError) Refuses() bool { return a.refuses }

func (a awayError) Unwrap() error { return a.error }

// Tell is the message of the error inside.
func (a awayError) Tell() gauge.Message { return gauge.Told(a.error) }

// reason is a reason code of MQTT 5 as its tables have it.
func reason(code byte) gauge.Arg { return gauge.Text("code", fmt.Sprintf("0x%02X", code)) }

// notLetIn is why a broker does not let the station in.
func notLetIn(code byte, client string) error {
	switch code {
	case packets.ConnackBadUsernameOrPassword, packets.ConnackNotAuthorized:
		return awayError{gauge.Refused("exit.mqtt-login", reason(code)), true}
	case packets.ConnackInvalidClientID:
		return awayError{gauge.Refused("exit.mqtt-client", gauge.Text("client", client)), true}
	case packets.ConnackServerUnavailable, packets.ConnackServerBusy, packets.ConnackConnectionRateExceeded:
		return awayError{gauge.Refused("exit.mqtt-busy", reason(code)), false}
	}
	return awayError{gauge.Refused("exit.mqtt-refused", reason(code)), true}
}

// notReached is an error on the way to the broker.
func notReached(err error, within time.Duration) error {
	if errors.Is(err, context.DeadlineExceeded) {
		return awayError{gauge.Refused("exit.mqtt-silent", gauge.Span("time", within)), false}
	}
	return awayError{gauge.At(err, "exit.mqtt-not-reached"), false}
}

// ended is why a broker ended the connection.
func ended(code byte, client string) error {
	if code == packets.DisconnectSessionTakenOver {
		return awayError{gauge.Refused("exit.mqtt-taken-over", gauge.Text("client", client)), false}
	}
	return awayError{gauge.Refused("exit.mqtt-ended", reason(code)), false}
}
