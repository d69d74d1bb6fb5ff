package gauge

import "errors"

// The kinds of errors that a caller tells apart. They come wrapped with what
// they are about and what to do.
var (
	ErrNotFound = errors.New("not found")
	ErrRefused  = errors.New("refused") // it cannot be done as things stand
	ErrInput    = errors.New("wrong input")
	ErrStopped  = errors.New("the station has stopped")
)
