package main

import (
	"context"
	"errors"
	"fmt"

	pb "gauged/api/gauged/v1"
)

// The exit codes.
const (
	exitFine          = 0
	exitFailure       = 1
	exitUsage         = 2
	exitUnreachable   = 3
	exitNotConforming = 4
)

const exitHelp = `Exit codes:
  0  fine
  1  failure: the daemon refused, or something went wrong
  2  usage: the command line is wrong
  3  the daemon is not reachable
  4  the unit does not conform, is undecided or has a wrong part, or no part that can be had fits it
     (job verify, job run and evaluate; "measure again" is not a verdict); recall:
     a verdict turns`

// errNotConforming ends a command whose answer, printed before, is that the
// unit does not conform, that nothing fits it, or that the verdict of a past one turns.
var errNotConforming = errors.New("does not conform")

// usageError is a mistake on the command line.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// exitCode returns the exit code that err stands for.
func exitCode(err error) int {
	var unreachable *unreachableError
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, errNotConforming):
		return exitNotConforming
	case errors.As(err, new(usageError)):
		return exitUsage
	case errors.As(err, &unreachable):
		return exitUnreachable
	default:
		return exitFailure
	}
}

// verdictError returns errNotConforming where e must end a command with exit code 4.
func verdictError(e *pb.Evaluation) error {
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_DOES_NOT_CONFORM, pb.Outcome_OUTCOME_NOTHING_FITS, pb.Outcome_OUTCOME_TOO_MANY, pb.Outcome_OUTCOME_UNDECIDED, pb.Outcome_OUTCOME_WRONG_PART:
		return errNotConforming
	}
	return nil
}

// endOfWatch turns the interruption of a watch into success: it is the usual
// way to end one.
func endOfWatch(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return nil
	}
	return err
}
