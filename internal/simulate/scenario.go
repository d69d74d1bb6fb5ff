package simulate

import (
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Gauge is one simulated gauge of a scenario.
type Gauge struct {
	Name     string
	Layout   *devices.Layout
	Unit     gauge.Unit
	Decimals int        // of the digits it shows
	Mode     gauge.Mode // the layout's unless the scenario says otherwise
	Every    time.Duration
	Value    gauge.Length // what is really there
	Noise    gauge.Length // each frame is off by up to this much either way
	Scatter  gauge.Length // each press or new value is off by up to this much either way
	Faults   Faults       // what it does wrong
	Seed     uint64       // of the noise and the scatter: the same seed gives the same readings
}

// defaultEvery is how often a streaming gauge sends.
const defaultEvery = 100 * time.Millisecond

// ReadScenario reads the simulated gauges of a scenario file, in its order.
func ReadScenario(v shopfile.Value, layouts func(name string) (*devices.Layout, error)) []Gauge {
	m := v.Map()
	list := m.Need("gauges")
	m.Done()
	if !list.Given() {
		return nil
	}
	var gauges []Gauge
	for _, e := range list.Map().Names() {
		gauges = append(gauges, readGauge(e.Key.Word(), e.Value, layouts))
	}
	return gauges
}

func readGauge(name string, v shopfile.Value, layouts func(string) (*devices.Layout, error)) Gauge {
	m := v.Map()
	g := Gauge{Name: name, Every: defaultEvery}
	layout := m.Need("layout")
	var err error
	if g.Layout, err = layouts(layout.Text()); err != nil {
		layout.Wrong(gauge.Told(err))
	}
	g.Unit = m.Need("unit").SentUnit()
	g.readMode(m.Get("mode"))
	if every := m.Get("every"); every.Given() {
		if g.Every = every.Duration(); g.Every < time.Millisecond {
			every.Follows(gauge.Say("station.every-short", every.As("text")))
		}
	}
	g.Value = m.Need("value").Length(g.Unit)
	g.Noise = size(m.Get("noise"), g.Unit)
	g.Scatter = size(m.Get("scatter"), g.Unit)
	if seed := m.Get("seed"); seed.Given() {
		g.Seed = uint64(seed.Int(0, 1<<31-1))
	}
	g.readDecimals(v, m.Get("decimals"))
	faults := m.Get("faults")
	if g.Faults = readFaults(faults, g.Unit); g.Faults.Battery > 0 && g.Layout != nil && !g.Layout.FlagsBattery(g.Unit) {
		faults.Wrong(gauge.Say("station.no-battery", gauge.Text("layout", g.Layout.Name), gauge.Text("unit", g.Unit.String())))
	}
	m.Done()
	return g
}

func (g *Gauge) readMode(v shopfile.Value) {
	if g.Layout != nil {
		g.Mode = g.Layout.Mode
	}
	if !v.Given() {
		return
	}
	g.Mode = gauge.Mode(v.OneOf(string(gauge.ModeButton), string(gauge.ModeStream), string(gauge.ModePoll)))
	if g.Layout != nil && g.Mode == gauge.ModePoll && len(g.Layout.RequestTo("")) == 0 {
		v.Wrong(gauge.Say("station.no-request", gauge.Text("layout", g.Layout.Name)))
	}
}

// readDecimals takes the layout's first good example as the default, and tries
// whether the layout can write such a value at all.
func (g *Gauge) readDecimals(v, decimals shopfile.Value) {
	if decimals.Given() {
		g.Decimals = decimals.Int(0, 9)
	} else if g.Layout != nil {
		g.Decimals, _ = g.Layout.Decimals(g.Unit)
	}
	if g.Layout == nil || !g.Unit.Known() {
		return
	}
	if _, err := g.Layout.Encode(rounded(g.Value, g.Unit, g.Decimals), g.Unit, g.Decimals, ""); err != nil {
		v.Wrong(gauge.Told(err))
	}
}

func size(v shopfile.Value, u gauge.Unit) gauge.Length {
	l := v.Length(u)
	if most := 1000 * gauge.Millimetre.Size(); l < 0 || l > most {
		v.Wrong(gauge.Say("station.noise", v.As("text")))
		return 0
	}
	return l
}

// rounded returns the length that the digits show.
func rounded(l gauge.Length, u gauge.Unit, decimals int) gauge.Length {
	shown, err := gauge.ParseLength(l.Text(u, decimals), u)
	if err != nil {
		return l // only at the end of the range; Encode refuses it
	}
	return shown
}
