package gauge

// Mode says how a gauge gives readings.
type Mode string

// The modes.
const (
	ModeButton Mode = "button" // at the press of its data button; into a job by itself
	ModeStream Mode = "stream" // all the time; into a job when somebody captures
	ModePoll   Mode = "poll"   // as the answer to a request; into a job when somebody captures
	ModeTyped  Mode = "typed"  // it has no connection: somebody reads it and types the value in
	ModeSwitch Mode = "switch" // never: it is a foot switch
)

// Meaning is what a press of a foot switch or of a data button is for.
type Meaning string

// The meanings of a press.
const (
	MeansCapture Meaning = "capture" // take a reading
	MeansDiscard Meaning = "discard" // the last reading does not count
	MeansNext    Meaning = "next"    // go on to the next step
)
