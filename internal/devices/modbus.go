package devices

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// modbusFields says how a gauge keeps its value in Modbus registers (Modbus
// Application Protocol 1.1b3; serial line guide 1.02).
type modbusFields struct {
	tcp      bool
	station  byte // of a layout that is not for any station: see channels
	function byte // 3: holding registers, 4: input registers
	register uint16
	kind     registerKind
	lowFirst bool // of two registers, the low one comes first
	decimals int
}

// registerKind is how the bits of registers are meant.
type registerKind string

const (
	kindInt16   registerKind = "int16"
	kindUint16  registerKind = "uint16"
	kindInt32   registerKind = "int32"
	kindUint32  registerKind = "uint32"
	kindFloat32 registerKind = "float32"
)

// registers is how many registers a value takes.
func (f *modbusFields) registers() int {
	if f.kind == kindInt16 || f.kind == kindUint16 {
		return 1
	}
	return 2
}

// readModbus reads a layout whose gauge is asked for Modbus registers.
func (l *Layout) readModbus(m *shopfile.Map, v shopfile.Value, flaws *flaws) {
	fm := v.Map()
	f := &modbusFields{
		tcp:      fm.Need("form").OneOf("rtu", "tcp") == "tcp",
		function: 3,
		register: uint16(fm.Need("register").Int(0, math.MaxUint16)),
		kind:     registerKind(fm.Need("as").OneOf(string(kindInt16), string(kindUint16), string(kindInt32), string(kindUint32), string(kindFloat32))),
		decimals: fm.Need("decimals").Int(0, 9),
	}
	station := fm.Need("station")
	if l.channels = station.Text() == "channel"; !l.channels {
		f.station = byte(station.Int(0, mostStations))
	}
	if function := fm.Get("function"); function.Given() {
		f.function = byte(function.Int(3, 4))
	}
	if words := fm.Get("words"); words.Given() {
		if f.lowFirst = words.OneOf("high first", "low first") == "low first"; f.registers() == 1 {
			flaws.at(words, gauge.Say("layout.one-register"))
		}
	}
	l.Pause = flaws.within(fm.Get("pause"), shortestPause, longestPause, 20e6)
	fm.Done()
	if l.Mode != "" && l.Mode != gauge.ModePoll {
		flaws.at(m.Get("mode"), gauge.Say("layout.modbus-poll"))
	}
	for _, key := range []string{"frame", "match", "bits", "units", "overrange", "decimal", "request"} {
		if other := m.Get(key); other.Given() {
			flaws.at(other, gauge.Say("layout.modbus-no", gauge.Text("key", key)))
		}
	}
	l.modbus = f
	l.longest = f.overhead() + 2*f.registers()
	l.request = f.request(f.station)
}

// overhead is how many bytes an answer has besides its registers.
func (f *modbusFields) overhead() int {
	if f.tcp {
		return 9 // transaction, protocol, length, station, function, count
	}
	return 5 // station, function, count, CRC
}

// transaction numbers the requests over TCP. Answers are told apart by time, as
// on a serial line: one that is late is dropped before the next request.
const transaction = 1

// mostStations is the highest number of a station on a serial line.
const mostStations = 247

// request is what the gauge is asked with.
func (f *modbusFields) request(station byte) []byte {
	pdu := []byte{station, f.function, 0, 0, 0, byte(f.registers())}
	binary.BigEndian.PutUint16(pdu[2:], f.register)
	return f.wrapped(pdu)
}

// wrapped adds what the form wants around station, function and data.
func (f *modbusFields) wrapped(pdu []byte) []byte {
	if !f.tcp {
		return binary.LittleEndian.AppendUint16(pdu, crc16(pdu))
	}
	head := make([]byte, 6, 6+len(pdu))
	binary.BigEndian.PutUint16(head, transaction)
	binary.BigEndian.PutUint16(head[4:], uint16(len(pdu)))
	return append(head, pdu...)
}

// crc16 is the check of Modbus on serial lines: polynomial 0xA001 reflected,
// started with ones.
func crc16(raw []byte) uint16 {
	crc := uint16(0xffff)
	for _, b := range raw {
		crc ^= uint16(b)
		for range 8 {
			if crc&1 == 1 {
				crc = crc>>1 ^ 0xa001
			} else {
				crc >>= 1
			}
		}
	}
	return crc
}

// size is how long the answer that begins so will be; 0 when that is not known yet.
func (f *modbusFields) size(begun []byte) int {
	switch {
	case f.tcp && len(begun) >= 6:
		return 6 + int(binary.BigEndian.Uint16(begun[4:]))
	case f.tcp || len(begun) < 3:
		return 0
	case begun[1]&exception != 0:
		return 5
	}
	return 5 + int(begun[2])
}

// exception marks the function of an answer by which a gauge refuses.
const exception = 0x80

// decodeModbus reads a whole answer.
func (l *Layout) decodeModbus(frame []byte, stated units) (Value, *Rejection) {
	f, v := l.modbus, Value{Status: gauge.StatusOK}
	pdu, rejection := f.unwrapped(frame)
	if rejection != nil {
		return v, rejection
	}
	if l.channels && len(pdu) > 0 {
		v.Channel = strconv.Itoa(int(pdu[0]))
	}
	given, rejection := stated.of(v.Channel)
	if rejection != nil {
		return v, rejection
	}
	switch {
	case len(pdu) < 3 || pdu[0] != f.station && !l.channels:
		return v, &Rejection{gauge.ReasonLayout, gauge.Say("rejected.modbus.no-answer", inHex(frame), gauge.Count("station", int(f.station)))}
	case pdu[1] == f.function|exception:
		return v, &Rejection{gauge.ReasonOverrange, refusedBy(pdu[2])}
	case pdu[1] != f.function || int(pdu[2]) != 2*f.registers() || len(pdu) != 3+2*f.registers():
		return v, &Rejection{gauge.ReasonLayout, gauge.Say("rejected.modbus.registers", inHex(frame), gauge.Count("registers", f.registers()))}
	}
	if v.Unit, rejection = l.unit("", given); rejection != nil {
		return v, rejection
	}
	shown, rejection := f.digits(pdu[3:])
	if rejection != nil {
		return v, rejection
	}
	return v, l.taken(&v, shown)
}

// unwrapped checks what is around station, function and data.
func (f *modbusFields) unwrapped(frame []byte) ([]byte, *Rejection) {
	if !f.tcp {
		if len(frame) < 5 || crc16(frame[:len(frame)-2]) != binary.LittleEndian.Uint16(frame[len(frame)-2:]) {
			return nil, &Rejection{gauge.ReasonNoise, gauge.Say("rejected.modbus.check", inHex(frame))}
		}
		return frame[:len(frame)-2], nil
	}
	if len(frame) < 6 || binary.BigEndian.Uint16(frame) != transaction || frame[2] != 0 || frame[3] != 0 {
		return nil, &Rejection{gauge.ReasonLayout, gauge.Say("rejected.modbus.beginning", inHex(frame))}
	}
	return frame[6:], nil
}

// exceptions are the words for what a gauge answers when it refuses.
var exceptions = map[byte]string{1: "rejected.modbus.no-function", 2: "rejected.modbus.no-register", 3: "rejected.modbus.count", 4: "rejected.modbus.failed", 6: "rejected.modbus.busy"}

// refusedBy is that the gauge answers with an exception.
func refusedBy(exception byte) gauge.Message {
	args := []gauge.Arg{gauge.Count("exception", int(exception))}
	if word, known := exceptions[exception]; known {
		args = append(args, gauge.Word("why", word))
	}
	return gauge.Say("rejected.modbus.exception", args...)
}

// digits writes the registers as a decimal.
func (f *modbusFields) digits(data []byte) (string, *Rejection) {
	if f.registers() == 1 {
		n := binary.BigEndian.Uint16(data)
		if f.kind == kindInt16 {
			return scaled(int64(int16(n)), f.decimals), nil
		}
		return scaled(int64(n), f.decimals), nil
	}
	high, low := binary.BigEndian.Uint16(data), binary.BigEndian.Uint16(data[2:])
	if f.lowFirst {
		high, low = low, high
	}
	n := uint32(high)<<16 | uint32(low)
	switch f.kind {
	case kindInt32:
		return scaled(int64(int32(n)), f.decimals), nil
	case kindUint32:
		return scaled(int64(n), f.decimals), nil
	}
	x := float64(math.Float32frombits(n))
	if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) > 1e9 {
		return "", &Rejection{gauge.ReasonNumber, gauge.Say("rejected.modbus.no-length", gauge.Text("value", fmt.Sprint(x)))}
	}
	return strconv.FormatFloat(x, 'f', f.decimals, 32), nil
}

// scaled writes a count of the last decimal.
func scaled(n int64, decimals int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	return sign + withPoint(strconv.FormatInt(n, 10), decimals)
}

// encodeModbus writes the answer of a gauge; nil when it would not read back as
// the value.
func (l *Layout) encodeModbus(value gauge.Length, unit gauge.Unit, decimals int, channel string) []byte {
	f, station := l.modbus, l.modbus.station
	if l.channels {
		station = stationOf(channel)
	}
	counted, ok := l.unscaled(value)
	if !ok {
		return nil
	}
	count, err := strconv.ParseInt(strings.Replace(counted.Text(unit, f.decimals), ".", "", 1), 10, 64)
	if err != nil {
		return nil
	}
	var data []byte
	switch n := uint32(count); {
	case f.registers() == 1:
		data = binary.BigEndian.AppendUint16(nil, uint16(count))
	case f.kind == kindFloat32:
		x, _ := strconv.ParseFloat(counted.Text(unit, decimals), 32)
		data = f.twoWords(math.Float32bits(float32(x)))
	default:
		data = f.twoWords(n)
	}
	frame := f.wrapped(append([]byte{station, f.function, byte(len(data))}, data...))
	read, rejection := l.decodeModbus(frame, units{one: unit})
	if rejection != nil || read.Length != value {
		return nil
	}
	return frame
}

func (f *modbusFields) twoWords(n uint32) []byte {
	if f.lowFirst {
		n = n<<16 | n>>16
	}
	return binary.BigEndian.AppendUint32(nil, n)
}
