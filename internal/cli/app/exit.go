package app

import (
	"context"
	"errors"
	"fmt"

	pb "gauged/api/gauged/v1"
)

// The exit codes.
const (
	ExitFine          = 0
	ExitFailure       = 1
	ExitUsage         = 2
	ExitUnreachable   = 3
	ExitNotConforming = 4
)

// ExitHelp explains the exit codes.
const ExitHelp = `Exit codes:
  0  fine
  1  failure: the daemon refused, or something went wrong
  2  usage: the command line is wrong
  3  the daemon is not reachable
  4  the unit does not conform, is undecided or has a wrong part, or no available part fits it
     (job verify, job run and evaluate; "measure again" is not a verdict); recall:
     a verdict changes`

// ErrNotConforming ends a command whose answer, printed before, is that the
// unit does not conform, that nothing fits it, or that the verdict of a past one changes.
var ErrNotConforming = errors.New("does not conform")

// UsageError is a mistake on the command line.
type UsageError struct{ Err error }

func (e UsageError) Error() string { return e.Err.Error() }

func (e UsageError) Unwrap() error { return e.Err }

// Usagef returns a mistake on the command line.
func Usagef(format string, args ...any) error { return UsageError{fmt.Errorf(format, args...)} }

// ExitCode returns the exit code that err stands for.
func ExitCode(err error) int {
	var unreachable *UnreachableError
	switch {
	case err == nil:
		return ExitFine
	case errors.Is(err, ErrNotConforming):
		return ExitNotConforming
	case errors.As(err, new(UsageError)):
		return ExitUsage
	case errors.As(err, &unreachable):
		return ExitUnreachable
	default:
		return ExitFailure
	}
}

// VerdictError returns errNotConforming where e must end a command with exit code 4.
func VerdictError(e *pb.Evaluation) error {
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_DOES_NOT_CONFORM, pb.Outcome_OUTCOME_NOTHING_FITS, pb.Outcome_OUTCOME_TOO_MANY, pb.Outcome_OUTCOME_UNDECIDED, pb.Outcome_OUTCOME_WRONG_PART:
		return ErrNotConforming
	}
	return nil
}

// EndOfWatch turns the interruption of a watch into success: it is the usual
// way to end one.
func EndOfWatch(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return nil
	}
	return err
}
