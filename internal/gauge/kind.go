package gauge

// Kind is what a unit measures. Values of different kinds are never compared,
// added or converted into each other.
type Kind uint8

// The kinds of quantities. Those that no gauge sends are typed in.
const (
	KindNone Kind = iota // of the unknown unit
	KindLength
	KindForce
	KindTorque
	KindTemperature
	KindAngle
	KindNumber // a count or an etched mark
)

// Sent are the kinds of what gauges on a wire send: indicators and calipers
// lengths, spring scales forces, wrenches torques, protractors angles.
var Sent = []Kind{KindLength, KindForce, KindTorque, KindAngle}

// SentInWords says what gauges on a wire send.
const SentInWords = "a length, a force, a torque or an angle"

// A is the kind with its article: a length, an angle.
func (k Kind) A() string {
	if k == KindAngle {
		return "an " + k.String()
	}
	return "a " + k.String()
}

// Word is the key of the word for the kind in the catalogue: a length, an angle; empty for
// none.
func (k Kind) Word() string {
	switch k {
	case KindLength:
		return "kind.length"
	case KindForce:
		return "kind.force"
	case KindTorque:
		return "kind.torque"
	case KindTemperature:
		return "kind.temperature"
	case KindAngle:
		return "kind.angle"
	case KindNumber:
		return "kind.number"
	default:
		return ""
	}
}

// String returns the word for the kind, empty for none.
func (k Kind) String() string {
	switch k {
	case KindLength:
		return "length"
	case KindForce:
		return "force"
	case KindTorque:
		return "torque"
	case KindTemperature:
		return "temperature"
	case KindAngle:
		return "angle"
	case KindNumber:
		return "number"
	default:
		return ""
	}
}
