package devices

import (
	"net"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// DefaultSilentAfter is how long a gauge that sends by itself may give
// nothing valid before it counts as silent. A gauge that is polled less
// often than every second may be silent for three polls.
const DefaultSilentAfter = 3 * time.Second

// Gauge is what a shop says about one gauge.
type Gauge struct {
	ID      string
	Title   string
	Outside bool // fed by a program or another daemon: no port, no layout
	Typed   bool // read by somebody who types the value in: no port, no layout, no mode
	Plate   gauge.Plate

	Layout *Layout
	Port   string // path of the port; empty when USB is set
	USB    string // USB serial number of the adapter
	// Keyboard is the event device of a gauge that types its readings, by its
	// path or by its USB serial number.
	Keyboard string
	TCP      string // host:port of a serial server that hands the line's bytes on
	RFC2217  bool   // whether that server takes the setting of the line
	Line     Line
	Channel  string // which of several gauges on the line, where the layout has channels

	Unit       gauge.Unit    // as in Layout.Decode; unknown when every frame states its unit
	Resolution gauge.Length  // 0 when not stated
	Ability    gauge.Ability // how well it measures, in Unit
	Pitch      gauge.Length  // the length that its electronics count in; 0 when not stated
	Presets    []gauge.Length

	Mode        gauge.Mode
	Press       gauge.Meaning // of its data button; empty is MeansCapture
	Poll        time.Duration // interval of asking; 0: only Supervisor.Ask asks
	SilentAfter time.Duration // 0: silence is healthy
	Bounce      time.Duration // 0: off

	at shopfile.Value // where the port is stated
}

// Same reports whether two definitions say the same of a gauge, its layout included.
func (g Gauge) Same(o Gauge) bool {
	g.at, o.at = shopfile.Value{}, shopfile.Value{}
	return reflect.DeepEqual(g, o)
}

// ReadGauges reads the definitions of all gauges, by id, in the order of the
// file. Relative paths of ports are relative to dir. Two gauges on one port are
// a problem.
func ReadGauges(v shopfile.Value, dir string, layouts func(name string) (*Layout, error)) []Gauge {
	if !v.Given() {
		return nil
	}
	var gauges []Gauge
	for _, e := range v.Map().Names() {
		g := ReadGauge(e.Key.Word(), e.Value, layouts)
		if g.Port != "" && !filepath.IsAbs(g.Port) {
			g.Port = filepath.Join(dir, g.Port)
		}
		gauges = append(gauges, g)
	}
	CheckPorts(gauges)
	return gauges
}

// ReadGauge reads the definition of one gauge.
func ReadGauge(id string, v shopfile.Value, layouts func(name string) (*Layout, error)) Gauge {
	m := v.Map()
	g := Gauge{ID: id, Title: m.Get("title").Text(), Line: DefaultLine}
	g.Plate = gauge.Plate{Serial: m.Get("serial_number").Text(), Maker: m.Get("maker").Text(), Model: m.Get("model").Text()}
	g.Unit = m.Get("unit").SentUnit()
	if outside := m.Get("outside"); outside.Given() {
		g.Outside = outside.Bool()
	}
	if typed := m.Get("typed"); typed.Given() {
		g.Typed = typed.Bool() || !typed.IsBool() // else what a gauge of frames lacks is told, too
		if g.Typed && g.Outside {
			typed.Wrong(gauge.Say("station.outside-and-typed"))
		}
	}
	if !g.Outside && !g.Typed {
		g.readLayout(v, m.Get("layout"), layouts)
		g.readPort(v, m)
		g.Line = readLine(m.Get("line"))
		switch {
		case g.TCP != "" && !g.RFC2217:
			m.Get("line").Wrong(gauge.Say("station.line-of-server"))
		case g.Keyboard != "":
			m.Get("line").Wrong(gauge.Say("station.line-of-keyboard"))
		}
		g.readUnit(v, m.Get("unit"))
		g.readChannel(v, m.Get("channel"))
		g.readTimes(m)
		g.readPress(m.Get("press"))
	}
	g.readAbility(m)
	g.readScale(m)
	switch {
	case g.Typed:
		g.readTyped(v, m)
	case g.Outside:
		g.readOutsideMode(m.Get("mode"))
		g.readPress(m.Get("press"))
		g.readOutsideSilence(m.Get("silent_after"))
		for _, key := range []string{"layout", "port", "usb", "tcp", "rfc2217", "keyboard", "line", "channel", "poll", "bounce"} {
			m.Get(key).Wrong(gauge.Say("station.outside-no", gauge.Text("key", key)))
		}
	}
	m.Done()
	return g
}

// readTyped reads a gauge without a connection, such as a micrometer: what is
// known of it is all there is.
func (g *Gauge) readTyped(v shopfile.Value, m *shopfile.Map) {
	g.Mode = gauge.ModeTyped
	for _, key := range []string{"layout", "port", "usb", "tcp", "rfc2217", "keyboard", "line", "channel", "poll", "bounce", "mode", "press", "silent_after"} {
		m.Get(key).Wrong(gauge.Say("station.typed-no", gauge.Text("key", key)))
	}
	if !g.Unit.Known() && v.IsMap() && !m.Get("unit").Given() {
		v.Wrong(gauge.Say("station.typed-unit"))
	}
}

// readOutsideMode says whether each reading from outside is meant for a job, as
// at the press of a button, or is one of a stream that somebody captures from.
func (g *Gauge) readOutsideMode(mode shopfile.Value) {
	g.Mode = gauge.ModeStream
	if mode.Given() {
		g.Mode = gauge.Mode(mode.OneOf(string(gauge.ModeButton), string(gauge.ModeStream)))
	}
}

func (g *Gauge) readOutsideSilence(silent shopfile.Value) {
	switch {
	case silent.Given() && g.Mode == gauge.ModeButton:
		silent.Wrong(gauge.Say("station.never-silent"))
	case silent.Given():
		g.SilentAfter = positive(silent)
	case g.Mode == gauge.ModeStream:
		g.SilentAfter = DefaultSilentAfter
	}
}

func (g *Gauge) readLayout(v, name shopfile.Value, layouts func(string) (*Layout, error)) {
	if !name.Given() {
		if v.IsMap() {
			v.Wrong(gauge.Say("station.no-layout"))
		}
		return
	}
	layout, err := layouts(name.Text())
	if err != nil {
		name.Wrong(gauge.Told(err))
		return
	}
	g.Layout = layout
}

func (g *Gauge) readPort(v shopfile.Value, m *shopfile.Map) {
	port, usb, tcp, rfc2217, keyboard := m.Get("port"), m.Get("usb"), m.Get("tcp"), m.Get("rfc2217"), m.Get("keyboard")
	g.Port, g.USB, g.at = port.Text(), usb.Text(), port
	if tcp.Given() {
		g.readTCP("tcp", tcp, port, usb, rfc2217, keyboard)
		return
	}
	if rfc2217.Given() {
		g.RFC2217 = true
		g.readTCP("rfc2217", rfc2217, port, usb, keyboard)
		return
	}
	if keyboard.Given() {
		g.readKeyboard(keyboard, port, usb)
		return
	}
	switch {
	case port.Given() && usb.Given():
		usb.Wrong(gauge.Say("station.port-and-usb"))
	case windowsPort.MatchString(g.Port):
		port.Wrong(gauge.Say("station.no-port-here", shopfile.Quoted("port", g.Port)))
	case port.Given() && g.Port == "":
		port.Wrong(gauge.Say("station.port-empty"))
	case usb.Given() && g.USB == "":
		usb.Wrong(gauge.Say("station.usb-empty"))
	case usb.Given():
		g.at = usb
	case !port.Given() && v.IsMap():
		v.Wrong(gauge.Say("station.no-port"))
	}
}

// windowsPort is how another system names its ports.
var windowsPort = regexp.MustCompile(`^(?i)COM[0-9]+:?$`)

// readTCP reads the address of a serial server.
func (g *Gauge) readTCP(key string, tcp shopfile.Value, others ...shopfile.Value) {
	g.TCP, g.at = tcp.Text(), tcp
	for _, other := range others {
		other.Wrong(gauge.Say("station.where-twice", gauge.Text("key", key)))
	}
	host, number, err := net.SplitHostPort(g.TCP)
	if n, wrong := strconv.ParseUint(number, 10, 16); err != nil || host == "" || wrong != nil || n == 0 {
		tcp.Wrong(gauge.Say("station.no-server", shopfile.Quoted("address", g.TCP)))
	}
}

// readKeyboard reads which keyboard a gauge is that types its readings.
func (g *Gauge) readKeyboard(keyboard shopfile.Value, others ...shopfile.Value) {
	g.Keyboard, g.at = keyboard.Text(), keyboard
	for _, other := range others {
		other.Wrong(gauge.Say("station.keyboard-twice"))
	}
	if g.Keyboard == "" {
		keyboard.Wrong(gauge.Say("station.keyboard-path"))
	}
	if g.Layout != nil && g.Layout.Mode == gauge.ModePoll {
		keyboard.Wrong(gauge.Say("station.keyboard-asked"))
	}
}

// readUnit checks the gauge's unit against its layout's. Where the frames
// carry their unit, the definition may narrow it to one.
func (g *Gauge) readUnit(v, unit shopfile.Value) {
	l := g.Layout
	switch {
	case l == nil:
	case l.Unit.Known() && g.Unit.Known() && l.Unit != g.Unit:
		unit.Wrong(gauge.Say("station.unit-other", gauge.Text("unit", g.Unit.String()), gauge.Text("layout", l.Name), gauge.Text("gives", l.Unit.String())))
	case l.Unit.Known():
		g.Unit = l.Unit
	case !l.UnitInFrame() && !unit.Given():
		v.Wrong(gauge.Say("station.unit-missing", gauge.Text("layout", l.Name)))
	case l.UnitInFrame() && g.Unit.Known() && !l.sends(g.Unit):
		unit.Wrong(gauge.Say("station.unit-never", gauge.Text("layout", l.Name), gauge.Text("unit", g.Unit.String())))
	}
}

// readChannel reads which of several gauges behind one line it is.
func (g *Gauge) readChannel(v, channel shopfile.Value) {
	g.Channel = channel.Text()
	switch l := g.Layout; {
	case l == nil:
	case channel.Given() && !l.Channels():
		channel.Wrong(gauge.Say("station.no-channels", gauge.Text("layout", l.Name)))
	case channel.Given():
		if err := l.checkChannel(g.Channel); err != nil {
			channel.Wrong(gauge.Told(err))
		}
	case l.Channels():
		v.Wrong(gauge.Say("station.channel-missing", gauge.Text("layout", l.Name)))
	}
}

func (l *Layout) sends(u gauge.Unit) bool {
	for _, known := range l.units {
		if known == u {
			return true
		}
	}
	return false
}

// readAbility reads how well the gauge measures, in the gauge's unit. A gauge
// whose frames may have either unit has no one resolution.
func (g *Gauge) readAbility(m *shopfile.Map) {
	g.Ability = m.Ability(g.Unit)
	if g.Ability.Resolution != nil {
		g.Resolution = *g.Ability.Resolution
	}
	if g.Unit.Known() || m.Get("unit").Given() {
		return // a unit that is none has been reported
	}
	for _, key := range []string{"resolution", "error", "calibration", "repeatability"} {
		if v := m.Get(key); v.Given() && (g.Outside || g.Typed || g.Layout != nil && g.Layout.UnitInFrame()) {
			v.Wrong(gauge.Say("station.key-unit", gauge.Text("key", key)))
		}
	}
}

// readScale reads what tells a fault of the scale or a preset from other errors.
func (g *Gauge) readScale(m *shopfile.Map) {
	pitch, presets := m.Get("pitch"), m.Get("presets")
	switch {
	case g.Unit.Known():
	case m.Get("unit").Given():
		return // it has been reported
	default:
		pitch.Wrong(gauge.Say("station.pitch-unit"))
		presets.Wrong(gauge.Say("station.presets-unit"))
		return
	}
	if pitch.Given() {
		if g.Pitch = pitch.Length(g.Unit); g.Pitch <= 0 {
			pitch.Wrong(gauge.Say("entry.not-above-zero", pitch.As("value")))
		}
	}
	if !presets.Given() {
		return
	}
	for _, one := range presets.List() {
		g.Presets = append(g.Presets, one.Length(g.Unit))
	}
}

func (g *Gauge) readTimes(m *shopfile.Map) {
	mode, poll, silent, bounce := m.Get("mode"), m.Get("poll"), m.Get("silent_after"), m.Get("bounce")
	if g.Layout != nil {
		g.Mode = g.Layout.Mode
	}
	if mode.Given() {
		g.Mode = gauge.Mode(mode.OneOf(string(gauge.ModeButton), string(gauge.ModeStream), string(gauge.ModePoll)))
		if g.Layout != nil && (g.Mode == gauge.ModePoll) != (g.Layout.Mode == gauge.ModePoll) && g.Mode != "" {
			mode.Wrong(gauge.Say("station.mode", gauge.Text("layout", g.Layout.Name), gauge.Text("mode", string(g.Layout.Mode))))
		}
	}
	g.Poll = positive(poll)
	if poll.Given() && g.Mode != gauge.ModePoll && g.Mode != "" {
		poll.Wrong(gauge.Say("station.not-asked"))
	}
	sendsByItself := g.Mode == gauge.ModeStream || g.Mode == gauge.ModePoll && g.Poll > 0
	switch {
	case silent.Given() && !sendsByItself && g.Mode != "":
		silent.Wrong(gauge.Say("station.never-silent"))
	case silent.Given():
		g.SilentAfter = positive(silent)
	case sendsByItself:
		g.SilentAfter = max(DefaultSilentAfter, 3*g.Poll)
	}
	switch {
	case bounce.Given() && g.Mode != gauge.ModeButton && g.Mode != "":
		bounce.Wrong(gauge.Say("station.no-bounce"))
	case bounce.Given():
		g.Bounce = bounce.Duration()
	case g.Mode == gauge.ModeButton:
		g.Bounce = gauge.BounceTime
	}
}

// positive returns a time that must be at least 10 ms.
func positive(v shopfile.Value) time.Duration {
	d := v.Duration()
	if v.Given() && d < 10*time.Millisecond && d >= 0 && v.Text() != "" {
		v.Follows(gauge.Say("station.too-short", v.As("text")))
	}
	return d
}
