package devices

import (
	"context"
	"testing"
)

func TestEventsThatConcernPorts(t *testing.T) {
	for event, want := range map[string]bool{
		"add@/devices/x/ttyUSB0\x00ACTION=add\x00SUBSYSTEM=tty\x00SEQNUM=1\x00":      true,
		"libudev\x00...\x00ACTION=add\x00SUBSYSTEM=input\x00":                        true,
		"add@/devices/x\x00ACTION=add\x00SUBSYSTEM=block\x00DEVNAME=sda\x00SEQNUM=2": false,
	} {
		if got := concernsPorts([]byte(event)); got != want {
			t.Errorf("%q: %v", event, got)
		}
	}
}

func TestListeningForPlugsEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- NewPorts().Run(ctx) }()
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
