package mqtt

import (
	"context"
	"errors"
	"fmt"
	"io"
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
	var known awayError
	if errors.As(err, &known) {
		return known
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return awayError{gauge.Refused("exit.mqtt-silent", gauge.Span("time", within)), false}
	}
	return awayError{gauge.At(err, "exit.mqtt-not-reached"), false}
}

// ended is why a broker ended the connection. Two that have one client id end each other's
// until somebody gives them two.
func ended(code byte, client string) error {
	if code == packets.DisconnectSessionTakenOver {
		return awayError{gauge.Refused("exit.mqtt-taken-over", gauge.Text("client", client)), true}
	}
	return awayError{gauge.Refused("exit.mqtt-ended", reason(code)), false}
}

// broken is that the connection broke. A broker that closes it does not always say why: some
// say nothing to who loses it to another with the same client id.
func broken(err error, client string) error {
	if errors.Is(err, io.EOF) {
		return awayError{gauge.Refused("exit.mqtt-closed", gauge.Text("client", client)), false}
	}
	return awayError{gauge.At(err, "exit.mqtt-broken"), false}
}
