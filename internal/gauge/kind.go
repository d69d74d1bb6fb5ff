package gauge

// Kind is what a unit measures. Values of different kinds are never compared,
// added or converted into each other.
type Kind uint8

// The kinds of quantities. Gauges on a wire send lengths; the others are typed in.
const (
	KindNone Kind = iota // of the unknown unit
	KindLength
	KindForce
	KindTorque
	KindTemperature
	KindAngle
	KindNumber // a count or an etched mark
)

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
