package job

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// doubtsAbout says what a part that is not the expected one would leave, with what
// is wrong with it; empty for a part that is as it should be.
func doubtsAbout(ctx context.Context, d *app.Daemon, r *pb.RecordFittedPartRequest) (string, error) {
	trial := proto.CloneOf(r)
	trial.ValidateOnly = true
	answer, err := app.Ask(ctx, d, d.Jobs.RecordFittedPart, trial)
	if err != nil {
		return "", err
	}
	text := ""
	for _, f := range answer.GetFits() {
		if !f.GetUnexpected() {
			continue
		}
		text += show.Sentence(f.GetMessage()) + "\n"
		for _, w := range f.GetWarnings() {
			text += "  ! " + show.Told(w.GetMessage()) + "\n"
		}
	}
	return text, nil
}

const askFitted = "Is it really fitted? y = yes, anything else = no."

// meant reports whether the answer to a question that doubts is yes.
func meant(answer string) bool {
	switch strings.ToLower(strings.TrimSpace(answer)) {
	case "y", "yes":
		return true
	}
	return false
}

// confirm asks on the terminal whether a part that is not the expected one is fitted.
func confirm(a *app.App, ctx context.Context, d *app.Daemon, r *pb.RecordFittedPartRequest) error {
	doubts, err := doubtsAbout(ctx, d, r)
	if err != nil || doubts == "" {
		return err
	}
	fmt.Fprint(a.Stderr, doubts+askFitted+"\n")
	select {
	case answer := <-app.ReadLines(ctx, a.Stdin):
		if meant(answer) {
			return nil
		}
	case <-ctx.Done():
	}
	return fmt.Errorf("nothing was recorded; --yes records it without asking")
}

// confirmed takes the answer to what was asked of a part, and records it or begins anew.
func (s *session) confirmed(ctx context.Context, line string) {
	request := s.doubted
	s.doubted = nil
	if meant(line) && step(ctx, s, s.d.Jobs.RecordFittedPart, request) {
		return
	}
	s.question = ""
	s.put()
}
