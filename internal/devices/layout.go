package devices

import (
	"bytes"
	"regexp"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Limits that keep every layout harmless, in bytes and in time.
const (
	longestFrame   = 1024
	longestEnd     = 4
	longestMatch   = 1000 // characters
	longestProgram = 2000 // steps: with longestFrame this bounds the work for one frame
	mostExamples   = 100
	longestRequest = 256
	shortestPause  = 5 * time.Millisecond
	longestPause   = 10 * time.Second
	defaultPause   = 200 * time.Millisecond
	longestAnswer  = time.Minute
	defaultAnswer  = 300 * time.Millisecond
	mostTries      = 5
	defaultTries   = 2
)

// Layout says how the bytes of one kind of gauge become a value. It is made by
// ReadLayout only, does not change afterwards, and may be shared.
type Layout struct {
	Name  string
	Title string
	Mode  gauge.Mode
	// Unit is fixed by the layout. It is unknown when the frames carry their
	// unit (see UnitInFrame) and when the gauge's definition must state it.
	Unit gauge.Unit
	// AnswerWithin is how long the answer of a polled gauge may take, and Tries
	// how often it is asked when somebody wants a reading and none comes.
	AnswerWithin time.Duration
	Tries        int
	// Pause is the time without a byte after which an unfinished frame counts
	// as cut short.
	Pause time.Duration

	request   []byte        // see RequestTo
	channels  bool          // several gauges may stand behind one line: see channel.go
	fixed     int           // bytes of every frame; 0: frames end with one of ends, or with a gap
	bits      *bitFields    // of frames of fixed length; nil: they are text that match reads
	modbus    *modbusFields // of a gauge that is asked for registers
	byGap     bool          // a frame ends when the line is quiet for Pause
	ends      [][]byte
	longest   int // bytes of a frame without its end
	whole     *regexp.Regexp
	suffix    *regexp.Regexp // the same at the end of a longer line
	groups    groups
	number    numberRule
	units     map[string]gauge.Unit // by the text in the frame; nil when the frame has none
	overrange []string
	decimal   byte
	stands    [256]bool // bytes that can stand in a frame
	syncing   bool      // no tail of a good frame passes for a frame, so that one can be trusted wherever it begins
	good      []example
}

// groups are the indices of the named groups in match, 0 when it has none.
type groups struct{ value, unit, lowBattery, channel, decimals int }

// UnitInFrame reports whether every frame states its unit.
func (l *Layout) UnitInFrame() bool { return l.units != nil }

// ParseLayout reads a layout file. The error is a shopfile.Problems.
func ParseLayout(file string, content []byte) (*Layout, error) {
	doc := shopfile.Parse(file, content)
	layout := ReadLayout(doc.Root())
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return layout, nil
}

// ReadLayout reads a layout and runs its examples. It returns nil when the
// layout has a mistake; the mistakes are problems of the value's document.
func ReadLayout(v shopfile.Value) *Layout {
	if !v.IsMap() {
		v.Map() // says so
		return nil
	}
	var flaws flaws
	m := v.Map()
	l := &Layout{Name: m.Need("layout").Word(), Title: m.Need("title").Text()}
	l.Mode = gauge.Mode(m.Need("mode").OneOf(string(gauge.ModeButton), string(gauge.ModeStream), string(gauge.ModePoll)))
	if modbus := m.Get("modbus"); modbus.Given() {
		l.readModbus(m, modbus, &flaws)
	} else {
		l.readText(m, &flaws)
	}
	l.readNumber(m, &flaws)
	l.readUnits(m, &flaws)
	l.readOverrange(m.Get("overrange"), &flaws)
	l.decimal = '.'
	if point := m.Get("decimal"); point.Given() && point.OneOf(".", ",") == "," {
		l.decimal = ','
	}
	l.readRequest(m, &flaws)
	good, bad := m.Need("good"), m.Need("bad")
	m.Done()
	l.channels = l.channels || l.ChannelInFrame() || bytes.Contains(l.request, channelMark)
	if flaws.found || l.Name == "" || l.Mode == "" || !good.Given() || !bad.Given() {
		return nil
	}
	l.checkExamples(good, bad, &flaws)
	if flaws.found {
		return nil
	}
	return l
}

// readText reads the frame, and what stands in it: text or bits.
func (l *Layout) readText(m *shopfile.Map, flaws *flaws) {
	l.readFrame(m.Need("frame"), flaws)
	if bits := m.Get("bits"); l.fixed > 0 || bits.Given() {
		l.readFixed(m, bits, flaws)
	} else {
		l.readMatch(m.Need("match"), flaws)
	}
}

// flaws remembers that a problem was reported that makes the rest of a layout
// not worth trying.
type flaws struct{ found bool }

func (f *flaws) at(v shopfile.Value, m gauge.Message) {
	f.found = true
	v.Wrong(m)
}

// within returns a time that must lie between low and high.
func (f *flaws) within(v shopfile.Value, low, high, otherwise time.Duration) time.Duration {
	if !v.Given() {
		return otherwise
	}
	d := v.Duration()
	if d < low || d > high {
		f.at(v, gauge.Say("layout.time-between", v.As("text"), gauge.Text("low", low.String()), gauge.Text("high", high.String())))
		return otherwise
	}
	return d
}

func (l *Layout) readFrame(v shopfile.Value, flaws *flaws) {
	m := v.Map()
	length, gap := m.Get("length"), m.Get("gap")
	switch {
	case length.Given(): // every frame has so many bytes
		if gap.Given() {
			flaws.at(gap, gauge.Say("layout.length-and-gap"))
		}
		l.fixed = length.Int(1, longestFrame)
		l.longest = l.fixed
		l.Pause = flaws.within(m.Need("pause"), shortestPause, longestPause, defaultPause)
	case gap.Given(): // a frame ends when the line falls quiet
		l.byGap = true
		l.longest = m.Need("longest").Int(1, longestFrame)
		l.Pause = flaws.within(gap, shortestPause, longestPause, defaultPause)
	default:
		ends := m.Need("ends")
		l.longest = m.Need("longest").Int(1, longestFrame)
		l.Pause = flaws.within(m.Get("pause"), shortestPause, longestPause, defaultPause)
		l.readEnds(ends, flaws)
		flaws.found = flaws.found || len(l.ends) == 0
	}
	m.Done()
	flaws.found = flaws.found || l.longest == 0
}

// readFixed reads a layout whose frames have a fixed length and are bits.
func (l *Layout) readFixed(m *shopfile.Map, bits shopfile.Value, flaws *flaws) {
	switch {
	case l.fixed == 0:
		flaws.at(bits, gauge.Say("layout.bits-length"))
	case !bits.Given():
		flaws.at(m.Need("frame"), gauge.Say("layout.length-bits"))
	default:
		l.readBits(bits, flaws)
	}
	for _, key := range []string{"match", "units", "overrange", "decimal"} {
		if v := m.Get(key); v.Given() {
			flaws.at(v, gauge.Say("layout.bits-no", gauge.Text("key", key)))
		}
	}
}

func (l *Layout) readEnds(v shopfile.Value, flaws *flaws) {
	values := []shopfile.Value{v}
	if v.IsList() {
		values = v.List()
	}
	if v.Given() && len(values) == 0 {
		flaws.at(v, gauge.Say("layout.no-end"))
	}
	known := map[string]bool{}
	for _, one := range values {
		end := flaws.bytes(one, longestEnd)
		if len(end) > 0 {
			l.ends = append(l.ends, end)
			known[string(end)] = true
		}
	}
	for _, end := range l.ends {
		for n := 1; n < len(end); n++ {
			if known[string(end[:n])] && !known[string(end[n:])] {
				flaws.at(v, gauge.Say("layout.end-before", shopfile.Quoted("short", string(end[:n])), shopfile.Quoted("long", string(end)), shopfile.Quoted("rest", string(end[n:]))))
			}
		}
	}
}

// controls are how the characters that end a frame are written, by their names.
var controls = map[string]string{
	"CR": `\r`, "LF": `\n`, "CRLF": `\r\n`, "CR LF": `\r\n`, "CR+LF": `\r\n`, "NL": `\n`, "STX": `\x02`, "ETX": `\x03`, "EOT": `\x04`,
	"<CR>": `\r`, "<LF>": `\n`, "<CR><LF>": `\r\n`,
}

// bytes returns the bytes of a text, one for each character up to U+00FF.
func (f *flaws) bytes(v shopfile.Value, most int) []byte {
	if !v.Given() {
		return nil
	}
	text := v.Text()
	raw, ok := toLatin1(text)
	switch written := controls[strings.ToUpper(text)]; {
	case written != "":
		f.at(v, gauge.Say("layout.character-name", shopfile.Quoted("text", text), gauge.Text("written", written)))
	case !ok:
		f.at(v, gauge.Say("layout.no-byte", shopfile.Quoted("text", text)))
	case len(raw) == 0:
		f.at(v, gauge.Say("layout.no-bytes"))
	case len(raw) > most:
		f.at(v, gauge.Say("layout.many-bytes", gauge.Count("bytes", len(raw)), gauge.Count("most", most)))
	default:
		return raw
	}
	return nil
}

func (l *Layout) readUnits(m *shopfile.Map, flaws *flaws) {
	fixed, byText := m.Get("unit"), m.Get("units")
	if fixed.Given() {
		l.Unit = fixed.SentUnit()
		flaws.found = flaws.found || !l.Unit.Known()
	}
	if byText.Given() {
		l.units = map[string]gauge.Unit{}
		for _, e := range byText.Map().Entries() {
			u := e.Value.SentUnit()
			flaws.found = flaws.found || !u.Known()
			l.units[e.Key.Text()] = u
		}
	}
	switch {
	case fixed.Given() && byText.Given():
		flaws.at(fixed, gauge.Say("layout.unit-twice"))
	case l.bits != nil: // the unit bit has been read
	case byText.Given() && l.groups.unit == 0 && l.whole != nil:
		flaws.at(byText, gauge.Say("layout.units-group"))
	case !byText.Given() && l.groups.unit != 0:
		flaws.at(m.Get("match"), gauge.Say("layout.unit-group"))
	case byText.Given() && len(l.units) == 0:
		flaws.at(byText, gauge.Say("layout.units-empty"))
	}
}

func (l *Layout) readOverrange(v shopfile.Value, flaws *flaws) {
	if !v.Given() {
		return
	}
	values := []shopfile.Value{v}
	if v.IsList() {
		values = v.List()
	}
	for _, one := range values {
		raw := flaws.bytes(one, max(l.longest, 1)+len(channelMark))
		l.overrange = append(l.overrange, string(raw))
		if bytes.Contains(raw, channelMark) && l.groups.channel == 0 {
			flaws.at(one, gauge.Say("layout.channel-group", gauge.Text("mark", string(channelMark))))
		}
		for _, b := range bytes.Replace(raw, channelMark, nil, 1) {
			l.stands[b] = l.stands[b] || b != 0
		}
	}
}

func (l *Layout) readRequest(m *shopfile.Map, flaws *flaws) {
	request, within, tries := m.Get("request"), m.Get("answer_within"), m.Get("tries")
	l.AnswerWithin = flaws.within(within, shortestPause, longestAnswer, defaultAnswer)
	l.Tries = defaultTries
	if tries.Given() {
		l.Tries = tries.Int(1, mostTries)
	}
	if l.modbus != nil {
		return // its request follows from the registers
	}
	l.request = flaws.bytes(request, longestRequest)
	if l.Mode == gauge.ModePoll && !request.Given() {
		flaws.at(m.Get("mode"), gauge.Say("layout.poll-request"))
	}
	if l.Mode != "" && l.Mode != gauge.ModePoll {
		for _, v := range []shopfile.Value{request, within, tries} {
			if v.Given() {
				flaws.at(v, gauge.Say("layout.no-poll"))
			}
		}
	}
}
