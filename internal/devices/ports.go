package devices

import (
	"fmt"
	"sync"
)

// Ports is what the gauges of a station know together about its ports: when
// something was plugged in or pulled out, and behind which adapter each gauge
// was. A nil *Ports knows nothing.
type Ports struct {
	mu       sync.Mutex
	changed  chan struct{}
	gaugeOf  map[string]string // by the USB serial number of its adapter; empty for adapters that share one
	adapters map[string]string // the other way round
}

// NewPorts returns what is known at the start: nothing.
func NewPorts() *Ports {
	return &Ports{changed: make(chan struct{}), gaugeOf: map[string]string{}, adapters: map[string]string{}}
}

// Changed returns a channel that is closed when something is plugged in or
// pulled out. Take it before looking, so that no plug is missed.
func (p *Ports) Changed() <-chan struct{} {
	if p == nil {
		return nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.changed
}

func (p *Ports) tell() {
	p.mu.Lock()
	defer p.mu.Unlock()
	close(p.changed)
	p.changed = make(chan struct{})
}

// SwappedError says that a gauge which is named by its port is now behind the
// adapter of another gauge: two plugs have changed places.
type SwappedError struct {
	Port, Adapter, Gauge, Other string
}

// Error says which plugs have changed places, and what to do.
func (e *SwappedError) Error() string {
	return fmt.Sprintf("the adapter %s at %s was that of gauge %s, and gauge %s had another: their plugs have changed places; put them back, or name both gauges by \"usb\", which follows the plug",
		e.Adapter, e.Port, e.Other, e.Gauge)
}

// claim notes that a gauge is behind the adapter with a USB serial number. An
// adapter in the place of another is taken, as after a repair, unless it is known
// to be that of another gauge.
func (p *Ports) claim(gaugeID, port, adapter string) error {
	if p == nil || adapter == "" {
		return nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	other, known := p.gaugeOf[adapter]
	before := p.adapters[gaugeID]
	switch {
	case before == adapter:
		return nil
	case known && other != "" && before != "":
		return &SwappedError{port, adapter, gaugeID, other}
	case known:
		p.gaugeOf[adapter] = "" // two adapters with one number cannot be told apart
	default:
		p.gaugeOf[adapter] = gaugeID
	}
	p.adapters[gaugeID] = adapter
	return nil
}
