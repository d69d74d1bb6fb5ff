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

// Defaults of a gauge's definition.
const (
	// DefaultSilentAfter is how long a gauge that sends by itself may give
	// nothing valid before it counts as silent. A gauge that is polled less
	// often than every second may be silent for three polls.
	DefaultSilentAfter = 3 * time.Second
)

// Gauge is what a shop says about one gauge.
type Gauge struct {
	ID      string
	Title   string
	Outside bool // fed by a program or another daemon: no port, no layout
	Typed   bool // read by somebody who types the value in: no port, no layout, no mode

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
	for _, e := range v.Map().Entries() {
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
	g.Unit = m.Get("unit").SentUnit()
	if outside := m.Get("outside"); outside.Given() {
		g.Outside = outside.Bool()
	}
	if typed := m.Get("typed"); typed.Given() {
		if g.Typed = typed.Bool(); g.Typed && g.Outside {
			typed.Problemf(`"outside" and "typed" both say where the readings come from: keep one of them`)
		}
	}
	if !g.Outside && !g.Typed {
		g.readLayout(v, m.Get("layout"), layouts)
		g.readPort(v, m)
		g.Line = readLine(m.Get("line"))
		switch {
		case g.TCP != "" && !g.RFC2217:
			m.Get("line").Problemf("how the line is set is the affair of the serial server: set it there, or use \"rfc2217\" if the server can do that")
		case g.Keyboard != "":
			m.Get("line").Problemf("a keyboard has no line that is set")
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
			m.Get(key).Problemf("a gauge that is fed from outside has no %q here", key)
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
		m.Get(key).Problemf("a gauge that is read by eye and typed in has no %q", key)
	}
	if !g.Unit.Known() && v.IsMap() && !m.Get("unit").Given() {
		v.Problemf(`"unit" is missing: in which unit is the gauge read?`)
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
		silent.Problemf("a gauge that sends only when somebody wants a reading is never silent")
	case silent.Given():
		g.SilentAfter = positive(silent)
	case g.Mode == gauge.ModeStream:
		g.SilentAfter = DefaultSilentAfter
	}
}

func (g *Gauge) readLayout(v, name shopfile.Value, layouts func(string) (*Layout, error)) {
	if !name.Given() {
		if v.IsMap() {
			v.Problemf(`"layout" is missing: name the layout of the gauge's frames, or write "outside: yes" for a gauge that a program feeds, or "typed: yes" for one that is read by eye`)
		}
		return
	}
	layout, err := layouts(name.Text())
	if err != nil {
		name.Problemf("%v", err)
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
		usb.Problemf(`"port" and "usb" both say where the gauge is: keep one of them`)
	case windowsPort.MatchString(g.Port):
		port.Problemf("%s is no port of this system: write a path such as /dev/serial/by-id/...; gaugectl ports lists those that are plugged in", g.Port)
	case port.Given() && g.Port == "":
		port.Problemf("the port is empty")
	case usb.Given() && g.USB == "":
		usb.Problemf("the USB serial number is empty")
	case usb.Given():
		g.at = usb
	case !port.Given() && v.IsMap():
		v.Problemf(`the gauge has no port: write "port" with a path such as /dev/serial/by-id/..., "usb" with the USB serial number of its adapter, or "tcp" with the host:port of a serial server`)
	}
}

// windowsPort is how another system names its ports.
var windowsPort = regexp.MustCompile(`^(?i)COM[0-9]+:?$`)

// readTCP reads the address of a serial server.
func (g *Gauge) readTCP(key string, tcp shopfile.Value, others ...shopfile.Value) {
	g.TCP, g.at = tcp.Text(), tcp
	for _, other := range others {
		other.Problemf("%q says already where the gauge is: keep one of them", key)
	}
	host, number, err := net.SplitHostPort(g.TCP)
	if n, wrong := strconv.ParseUint(number, 10, 16); err != nil || host == "" || wrong != nil || n == 0 {
		tcp.Problemf("%q is not the address of a serial server: write host:port, such as serial-server:4001", g.TCP)
	}
}

// readKeyboard reads which keyboard a gauge is that types its readings.
func (g *Gauge) readKeyboard(keyboard shopfile.Value, others ...shopfile.Value) {
	g.Keyboard, g.at = keyboard.Text(), keyboard
	for _, other := range others {
		other.Problemf(`"keyboard" says already where the gauge is: keep one of them`)
	}
	if g.Keyboard == "" {
		keyboard.Problemf("name the keyboard by its path, such as /dev/input/by-id/usb-...-event-kbd, or by its USB serial number")
	}
	if g.Layout != nil && g.Layout.Mode == gauge.ModePoll {
		keyboard.Problemf("a gauge that types like a keyboard cannot be asked")
	}
}

// readUnit checks the gauge's unit against its layout's. Where the frames
// carry their unit, the definition may narrow it to one.
func (g *Gauge) readUnit(v, unit shopfile.Value) {
	l := g.Layout
	switch {
	case l == nil:
	case l.Unit.Known() && g.Unit.Known() && l.Unit != g.Unit:
		unit.Problemf("the unit is %v, but the layout %s gives %v", g.Unit, l.Name, l.Unit)
	case l.Unit.Known():
		g.Unit = l.Unit
	case !l.UnitInFrame() && !unit.Given():
		v.Problemf(`"unit" is missing: the frames of the layout %s do not carry it`, l.Name)
	case l.UnitInFrame() && g.Unit.Known() && !l.sends(g.Unit):
		unit.Problemf("the layout %s never gives %v", l.Name, g.Unit)
	}
}

// readChannel reads which of several gauges behind one line it is.
func (g *Gauge) readChannel(v, channel shopfile.Value) {
	g.Channel = channel.Text()
	switch l := g.Layout; {
	case l == nil:
	case channel.Given() && !l.Channels():
		channel.Problemf("the layout %s has no channels", l.Name)
	case channel.Given():
		if err := l.checkChannel(g.Channel); err != nil {
			channel.Problemf("%v", err)
		}
	case l.Channels():
		v.Problemf(`"channel" is missing: by it the layout %s tells the gauges on a line apart`, l.Name)
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
	if g.Unit.Known() {
		return
	}
	for _, key := range []string{"resolution", "error", "calibration", "repeatability"} {
		if v := m.Get(key); v.Given() && (g.Outside || g.Typed || g.Layout != nil && g.Layout.UnitInFrame()) {
			v.Problemf(`%q is in the gauge's unit: state "unit" too, and frames in another unit will be rejected`, key)
		}
	}
}

// readScale reads what tells a fault of the scale or a preset from other errors.
func (g *Gauge) readScale(m *shopfile.Map) {
	pitch, presets := m.Get("pitch"), m.Get("presets")
	if !g.Unit.Known() {
		pitch.Problemf(`"pitch" is in the gauge's unit: state "unit" too`)
		presets.Problemf(`"presets" are in the gauge's unit: state "unit" too`)
		return
	}
	if pitch.Given() {
		if g.Pitch = pitch.Length(g.Unit); g.Pitch <= 0 {
			pitch.Problemf("%s must be greater than zero", pitch.Text())
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
			mode.Problemf("the layout %s has mode %s: a gauge is polled exactly when its layout has a request", g.Layout.Name, g.Layout.Mode)
		}
	}
	g.Poll = positive(poll)
	if poll.Given() && g.Mode != gauge.ModePoll && g.Mode != "" {
		poll.Problemf("only a gauge with mode poll is asked")
	}
	sendsByItself := g.Mode == gauge.ModeStream || g.Mode == gauge.ModePoll && g.Poll > 0
	switch {
	case silent.Given() && !sendsByItself && g.Mode != "":
		silent.Problemf("a gauge that sends only when somebody wants a reading is never silent")
	case silent.Given():
		g.SilentAfter = positive(silent)
	case sendsByItself:
		g.SilentAfter = max(DefaultSilentAfter, 3*g.Poll)
	}
	switch {
	case bounce.Given() && g.Mode != gauge.ModeButton && g.Mode != "":
		bounce.Problemf("only a gauge with mode button bounces")
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
		v.Followerf("%q is too short: at least 10ms", v.Text())
	}
	return d
}
