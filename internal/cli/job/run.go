package job

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

const jobRunHelp = `Lead through a job, line by line. You see the cautions, what to measure and how, and
each reading as it is taken. Then come the window, the recommended part and the part
that was fitted. The measurement after fitting gives the verdict.

Readings that come by a gauge's button are shown as they come. Lines may also come from
a pipe. If the daemon is lost, the session says so, waits, and goes on from what is
stored.

The exit code is 0 only when the unit conforms. It is 4 when it does not conform or
nothing fits, and 1 when you leave the job without a verdict.

`

func jobRunCommand(a *app.App, f *jobFlags) *cobra.Command {
	var start startFlags
	var id uint64
	cmd := &cobra.Command{
		Use:               "run PROCEDURE | run --job JOB",
		Annotations:       map[string]string{app.TableOnly: "it is a conversation; a program uses its single steps, such as job capture"},
		Short:             "Lead through a job step by step",
		Long:              jobRunHelp + sessionHelp,
		Args:              app.Arguments(0, 1),
		ValidArgsFunction: app.First(a.Names(app.ProcedureNames)),
	}
	start.flags(a, cmd)
	cmd.Flags().Uint64Var(&id, "job", 0, "continue this job")
	a.Complete(cmd, "job", a.Names(app.OpenJobs))
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		if (len(args) == 1) == (id != 0) {
			return app.Usagef("name a procedure for a new job, or --job for one that is open")
		}
		ctx, cancel := context.WithCancel(ctx)
		defer cancel()
		by := f.by()
		if id == 0 {
			by = f.begins()
		}
		s := newSession(ctx, a, d, by)
		var err error
		if id != 0 {
			err = s.resume(ctx, id)
		} else {
			err = s.open(ctx, args[0], &start)
		}
		if err != nil {
			return err
		}
		return s.run(ctx)
	})
	return cmd
}

// open shows the cautions and, when they are acknowledged, starts the job.
func (s *session) open(ctx context.Context, procedure string, start *startFlags) error {
	request, err := start.request(procedure, s.by)
	if err != nil {
		return err
	}
	found, err := app.Ask(ctx, s.d, s.d.Procedures.GetProcedure, &pb.GetProcedureRequest{ProcedureId: procedure})
	if err != nil {
		return err
	}
	if err := s.acknowledge(ctx, found.GetProcedure()); err != nil {
		return err
	}
	if err := s.readModes(ctx); err != nil {
		return err
	}
	answer, err := app.Ask(ctx, s.d, s.d.Jobs.StartJob, request)
	if err != nil {
		return err
	}
	s.job = answer.GetJob()
	if err := s.noteAcknowledged(ctx); err != nil {
		return err
	}
	s.sayf("Job %d is open on unit %s. A line with ? shows what can be typed.", s.job.GetId(), s.job.GetUnitSerial())
	return nil
}

// resume takes up a job that is open.
func (s *session) resume(ctx context.Context, id uint64) error {
	answer, err := app.Ask(ctx, s.d, s.d.Jobs.GetJob, &pb.GetJobRequest{JobId: id})
	if err != nil {
		return err
	}
	s.job = answer.GetJob()
	if s.by == "" {
		s.by = s.job.GetBy()
	}
	if s.closed() {
		return fmt.Errorf("job %d is closed: gaugectl job show %d shows it", id, id)
	}
	if err := s.acknowledge(ctx, s.job.GetProcedure()); err != nil {
		return err
	}
	if err := s.noteAcknowledged(ctx); err != nil {
		return err
	}
	if err := s.readModes(ctx); err != nil {
		return err
	}
	s.sayf("Going on with job %d on unit %s. A line with ? shows what can be typed.", id, s.job.GetUnitSerial())
	return nil
}

// noteAcknowledged tells the daemon who has read the cautions, once for a job.
func (s *session) noteAcknowledged(ctx context.Context) error {
	if s.job.GetCautionsAcknowledgedBy() != "" {
		return nil
	}
	answer, err := app.Ask(ctx, s.d, s.d.Jobs.AcknowledgeCautions, &pb.AcknowledgeCautionsRequest{JobId: s.job.GetId(), By: s.by})
	if err != nil {
		return err
	}
	s.job = answer.GetJob()
	return nil
}

// readModes finds out which gauges send at the press of a button.
func (s *session) readModes(ctx context.Context) error {
	answer, err := app.Ask(ctx, s.d, s.d.Gauges.ListGauges, &pb.ListGaugesRequest{})
	if err != nil {
		return err
	}
	for _, g := range answer.GetGauges() {
		s.modes[g.GetId()] = g.GetMode()
	}
	return nil
}

var errNotAcknowledged = errors.New("the cautions were not acknowledged: nothing was done")

// acknowledge shows the cautions until they are answered.
func (s *session) acknowledge(ctx context.Context, p *pb.Procedure) error {
	s.sayf("%s", show.ProcedureText(p))
	if p.GetSource() != "" {
		s.sayf("Source: %s", p.GetSource())
	}
	s.sayf("")
	show.RenderCautions(s.out, p)
	for {
		s.sayf("Read and understood? Enter = yes, q = leave.")
		select {
		case <-ctx.Done():
			return errNotAcknowledged
		case line, more := <-s.in:
			if !more {
				return errNotAcknowledged
			}
			switch strings.ToLower(strings.TrimSpace(line)) {
			case "", "y", "yes":
				s.sayf("")
				return nil
			case "q":
				return errNotAcknowledged
			}
		}
	}
}
