package client

import (
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/status"

	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// Refusal is why the daemon refused.
type Refusal struct {
	// Reason is the code that a program goes by, such as JOB_CLOSED. docs/refusals.md has
	// them all. It stays from release to release.
	Reason string
	// Arguments are those of the sentence by their names, as text.
	Arguments map[string]string
	// Message is the same with types; nil where it did not fit into the answer.
	Message *gaugedv1.Message
}

// RefusalOf returns the refusal that an error is. It is not ok for an error that has no
// reason of the contract, such as that of a connection that is lost.
func RefusalOf(err error) (r Refusal, ok bool) {
	st, ok := status.FromError(err)
	if !ok {
		return r, false
	}
	for _, d := range st.Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			if d.GetDomain() == wire.Domain {
				r.Reason, r.Arguments = d.GetReason(), d.GetMetadata()
			}
		case *gaugedv1.Message:
			r.Message = d
		}
	}
	return r, r.Reason != ""
}
