package history

import (
	"errors"
	"slices"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// Errors that a caller may want to tell apart. They come wrapped with the
// path, the number or the hash that they are about.
var (
	ErrOutOfOrder = errors.New("the numbers do not continue the history")
	ErrBadFact    = errors.New("the fact cannot be stored")
	ErrDuplicate  = errors.New("it is stored already")
	ErrNotFound   = errors.New("it is not in the history")
	ErrInUse      = errors.New("the history is in use")
	ErrForeign    = errors.New("the file is not a history of gauged")
	ErrNewer      = errors.New("the history was written by a newer gauged")
	ErrDamaged    = errors.New("the history is damaged")
	ErrMoved      = errors.New("its file was taken away while it is in use: put it back and restart the daemon")
	ErrLogAlone   = errors.New("its file is gone, and the log beside it (-wal) has what was stored last: put the file back; to begin a new history, move the log away")
	ErrLogOther   = errors.New("the log beside it (-wal) is that of another history, and has what was stored there last: put the file of that one back, or move the log away")
	ErrClosed     = error(closed{})
)

// closed is that a history was closed, as it is when its station stops.
type closed struct{}

func (closed) Error() string { return "the history is closed" }

// Is says that it is of the kind of gauge.ErrStopped too.
func (closed) Is(kind error) bool { return kind == gauge.ErrStopped }

// Tell is the refusal that a caller gets who comes too late.
func (closed) Tell() gauge.Message { return gauge.Say("refusal.daemon.stopping") }

// byDisk is an error of a disk that takes nothing, as callers are told it; any other stays.
func byDisk(err error) error {
	if slices.ContainsFunc([]error{sqlite3.FULL, sqlite3.IOERR, sqlite3.READONLY, sqlite3.CANTOPEN}, func(code error) bool { return errors.Is(err, code) }) {
		return gauge.Later(err, "refusal.history.not-stored", gauge.Text("why", err.Error()))
	}
	return err
}
