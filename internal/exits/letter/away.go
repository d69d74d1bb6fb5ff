package letter

import "gauged/internal/gauge"

// AwayError is that the receiver was not reached, or let nobody in: no letter is to blame.
type AwayError struct {
	error
	refuses bool // it does not mend itself
}

// Away is an error because of which the receiver was not reached.
func Away(err error) error { return AwayError{err, false} }

// Shut is an error because of which the receiver lets nobody in, until somebody mends it.
func Shut(err error) error { return AwayError{err, true} }

// Away says that the receiver was not reached.
func (AwayError) Away() bool { return true }

// Refuses says whether the receiver lets nobody in.
func (a AwayError) Refuses() bool { return a.refuses }

// Unwrap is the error inside.
func (a AwayError) Unwrap() error { return a.error }

// Tell is the message of the error inside.
func (a AwayError) Tell() gauge.Message { return gauge.Told(a.error) }
