package mqtt

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/eclipse/paho.golang/packets"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

// reason is a reason code of MQTT 5 as its tables have it.
func reason(code byte) gauge.Arg { return gauge.Text("code", fmt.Sprintf("0x%02X", code)) }

// notLetIn is why a broker does not let the station in.
func notLetIn(code byte, client string) error {
	switch code {
	case packets.ConnackBadUsernameOrPassword, packets.ConnackNotAuthorized:
		return letter.Shut(gauge.Refused("exit.mqtt-login", reason(code)))
	case packets.ConnackInvalidClientID:
		return letter.Shut(gauge.Refused("exit.mqtt-client", gauge.Text("client", client)))
	case packets.ConnackServerUnavailable, packets.ConnackServerBusy, packets.ConnackConnectionRateExceeded:
		return letter.Away(gauge.Refused("exit.mqtt-busy", reason(code)))
	}
	return letter.Shut(gauge.Refused("exit.mqtt-refused", reason(code)))
}

// notReached is an error on the way to the broker.
func notReached(err error, within time.Duration) error {
	var known letter.AwayError
	if errors.As(err, &known) {
		return known
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return letter.Away(gauge.Refused("exit.mqtt-silent", gauge.Span("time", within)))
	}
	return letter.Away(gauge.At(err, "exit.mqtt-not-reached"))
}

// ended is why a broker ended the connection. Two that have one client id end each other's
// until somebody gives them two.
func ended(code byte, client string) error {
	if code == packets.DisconnectSessionTakenOver {
		return letter.Shut(gauge.Refused("exit.mqtt-taken-over", gauge.Text("client", client)))
	}
	return letter.Away(gauge.Refused("exit.mqtt-ended", reason(code)))
}

// broken is that the connection broke. A broker that closes it does not always say why: some
// say nothing to who loses it to another with the same client id.
func broken(err error, client string) error {
	if errors.Is(err, io.EOF) {
		return letter.Away(gauge.Refused("exit.mqtt-closed", gauge.Text("client", client)))
	}
	return letter.Away(gauge.At(err, "exit.mqtt-broken"))
}
