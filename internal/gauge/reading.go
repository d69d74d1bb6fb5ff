package gauge

import "time"

// Status says what a gauge reported about a value besides its digits.
type Status string

// The statuses that a reading can carry. A value beyond the gauge's range is
// no reading at all but a rejected frame.
const (
	StatusOK         Status = "ok"
	StatusLowBattery Status = "low battery"
)

// Reading is one value as a gauge gave it or as a person typed it in.
type Reading struct {
	Gauge  string    // id of the gauge
	Number uint64    // counts the stored readings of this gauge from 1, without holes
	Time   time.Time // host time at which the first byte arrived
	Value  Length    // exact: picometres, or 1e-9 of Unit when that is no unit of length
	Shown  string    // digits and sign as the gauge showed them
	Unit   Unit      // unit as the gauge showed it
	Status Status
	Raw    []byte // the frame; empty for a typed reading

	// Source and SourceSeq are set on readings that another daemon or a
	// program sent: who, and its own sequence number.
	Source    string
	SourceSeq uint64

	EnteredBy string // who typed it in; empty when a gauge sent it
}

// TypedIn is the gauge of a reading that was typed in and of which nobody said from which gauge.
const TypedIn = "typed"

// Reason says why bytes from a gauge did not become a reading. The set is
// closed: each reason is counted in a metric.
type Reason string

// The reasons for a rejected frame.
const (
	ReasonNoise     Reason = "noise"      // bytes that the layout does not allow, such as NUL or a wrong parity
	ReasonHalfFrame Reason = "half_frame" // the frame was cut short
	ReasonTooLong   Reason = "too_long"   // no end of frame within the longest length
	ReasonLayout    Reason = "layout"     // a whole frame that does not match the layout
	ReasonComma     Reason = "comma"      // a decimal comma where the layout has a point
	ReasonNumber    Reason = "number"     // digits that are not a length
	ReasonUnit      Reason = "unit"       // a unit other than the layout or the gauge allows
	ReasonOverrange Reason = "overrange"  // the gauge says that it has no valid value
	ReasonRepeated  Reason = "repeated"   // the same frame again within the bounce time of a button
	ReasonUnasked   Reason = "unasked"    // an answer that no request waits for
	ReasonUnknown   Reason = "unknown"    // sent for a gauge that this station does not have
	// ReasonSenderNumber is a reading whose sender gave it a number that stands for
	// another one, or that it had passed.
	ReasonSenderNumber Reason = "sender_number"
	ReasonTime         Reason = "time" // its sender gave it a time that is none
)

// Reasons lists every reason, for metrics and for tests.
var Reasons = []Reason{
	ReasonNoise, ReasonHalfFrame, ReasonTooLong, ReasonLayout, ReasonComma, ReasonNumber,
	ReasonUnit, ReasonOverrange, ReasonRepeated, ReasonUnasked, ReasonUnknown, ReasonSenderNumber, ReasonTime,
}

// Reject is a frame that gave no reading.
type Reject struct {
	Gauge  string
	Time   time.Time // host time at which the first byte arrived
	Reason Reason
	Detail Message // what is wrong; a text where it quotes what came
	Raw    []byte

	Source    string // as in Reading
	SourceSeq uint64
}

// State is what is known about the connection to a gauge.
type State string

// The states of a gauge.
const (
	StateAbsent  State = "absent"  // the port does not exist
	StateOpening State = "opening" // the port is open, no valid frame has come yet
	StateLive    State = "live"    // valid frames come, or may come at the press of a button
	StateSilent  State = "silent"  // nothing valid came for longer than the gauge's definition allows
	StateFailed  State = "failed"  // see the reason
)

// States lists every state, for metrics and for tests.
var States = []State{StateAbsent, StateOpening, StateLive, StateSilent, StateFailed}

// StateChange is a gauge's step into a state.
type StateChange struct {
	Gauge  string
	Time   time.Time
	State  State
	Reason Message // why, with the remedy where there is one; may be none
}
