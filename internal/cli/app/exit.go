package app

import (
	"context"
	"errors"
	"fmt"

	pb "gauged/api/gauged/v1"
)

// The exit codes. ExitHelp explains them.
const (
	ExitFine        = 0
	ExitFailure     = 1
	ExitUsage       = 2
	ExitUnreachable = 3
	ExitAnswerIsNo  = 4
)

// EnvironmentHelp explains the variables of the environment.
const EnvironmentHelp = `  GAUGECTL_ADDRESS    the daemon, instead of --address
  GAUGECTL_BY         who does it, instead of --by
  XDG_RUNTIME_DIR     the directory of the session, in which gauged/gauged.sock is looked for
`

// ExitHelp explains the exit codes.
const ExitHelp = `Exit codes:
  0  It went well, and the answer is good.
  1  The call failed. The daemon refused it, or something went wrong.
  2  The command line is wrong. Nothing was done.
  3  The daemon cannot be reached.
  4  It went well, and the answer is bad.

Code 4 is the answer of:
  evaluate, job verify, job run     a unit does not conform, is undecided or has a wrong
                                    part, or no part fits; "measure again" is no verdict
  master check, record, zero        a gauge fails its check, or is undecided
  master signs                      a gauge shows signs of a fault
  recall                            a past verdict changes, or cannot be decided any more
  history replay                    a past verdict is not the stored one
  history verify                    what is stored is not what was stored
  check                             a file has problems
  decode                            a frame is rejected
  status                            something needs attention
`

// ErrAnswerIsNo ends a command whose bad answer was printed before.
var ErrAnswerIsNo = errors.New("the answer is bad")

// NotPassed is a bad answer that is said as an error is.
type NotPassed struct{ Err error }

// Error says what is wrong.
func (e NotPassed) Error() string { return e.Err.Error() }

// Unwrap returns what is wrong, and that it is an answer.
func (e NotPassed) Unwrap() []error { return []error{e.Err, ErrAnswerIsNo} }

// NotPassedf says a bad answer.
func NotPassedf(format string, args ...any) error { return NotPassed{fmt.Errorf(format, args...)} }

// UsageError is a mistake on the command line.
type UsageError struct{ Err error }

// Error says the mistake.
func (e UsageError) Error() string { return e.Err.Error() }

// Unwrap returns the mistake.
func (e UsageError) Unwrap() error { return e.Err }

// Usagef returns a mistake on the command line.
func Usagef(format string, args ...any) error { return UsageError{fmt.Errorf(format, args...)} }

// ExitCode returns the exit code that err stands for.
func ExitCode(err error) int {
	var unreachable *UnreachableError
	switch {
	case err == nil:
		return ExitFine
	case errors.Is(err, ErrAnswerIsNo):
		return ExitAnswerIsNo
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
		return ErrAnswerIsNo
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
