package gauge

// Exit is how far something that hands facts on to others has come. It is no fact: it changes.
type Exit struct {
	Name  string
	After uint64 // number of the last fact that it is done with
	State []byte // JSON of package exits
}

// DeadLetter is a fact that an exit gave up handing on.
type DeadLetter struct {
	Seq   uint64
	State []byte // JSON of package exits; nil: it is none any more
}

// Event is a kind of facts that exits hand on, by its word in a station's file.
type Event string

// The events.
const (
	EventVerdict Event = "verdict" // of a job, or that it is taken back
	EventJob     Event = "job"     // another step of a job
	EventGauge   Event = "gauge"   // the state of the connection to a gauge
	EventCheck   Event = "check"   // of a gauge against masters, or that it was a mistake
	EventReading Event = "reading" // of a gauge
	EventStation Event = "station" // the connection of the station to a broker
)

// Events are the events of which an exit can hand on each, in their order.
var Events = []Event{EventVerdict, EventJob, EventGauge, EventCheck}
