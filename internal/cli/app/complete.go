package app

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	pb "gauged/api/gauged/v1"
	"gauged/internal/wire"
)

// completionTimeout is how long a shell waits for names; after that it offers none.
const completionTimeout = 500 * time.Millisecond

// Completer offers words, as cobra asks for them.
type Completer = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective)

// Complete sets the Completer of a flag that exists.
func (a *App) Complete(cmd *cobra.Command, flag string, words Completer) {
	if err := cmd.RegisterFlagCompletionFunc(flag, words); err != nil {
		panic(err)
	}
}

// Fixed offers words that are always the same.
func Fixed(words ...string) Completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}

// Names returns a Completer that asks the daemon, and offers nothing when it
// does not answer.
func (a *App) Names(list func(context.Context, *Daemon) []string) Completer {
	return func(cmd *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
		d, err := a.connect()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		defer func() { _ = d.Close() }()
		ctx, cancel := context.WithTimeout(cmd.Context(), completionTimeout)
		defer cancel()
		var words []string
		for _, word := range list(ctx, d) {
			if strings.HasPrefix(word, begun) {
				words = append(words, word)
			}
		}
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}

// First limits a Completer to the first argument.
func First(words Completer) Completer {
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return words(cmd, args, begun)
	}
}

// GaugeNames are the ids of all gauges; none when the daemon does not answer.
func GaugeNames(ctx context.Context, d *Daemon) []string {
	answer, err := d.Gauges.ListGauges(ctx, &pb.ListGaugesRequest{})
	if err != nil {
		return nil
	}
	var names []string
	for _, g := range answer.GetGauges() {
		names = append(names, g.GetId())
	}
	return names
}

// GaugeForAll offers each gauge for all measurements, as --gauge takes it.
func GaugeForAll(ctx context.Context, d *Daemon) []string {
	names := GaugeNames(ctx, d)
	for i := range names {
		names[i] = "*=" + names[i]
	}
	return names
}

// ProcedureNames are the ids of all procedures with their titles.
func ProcedureNames(ctx context.Context, d *Daemon) []string {
	answer, err := AllProcedures(ctx, d)
	if err != nil {
		return nil
	}
	var names []string
	for _, p := range answer.GetProcedures() {
		names = append(names, p.GetId()+"\t"+p.GetTitle())
	}
	return names
}

// StudyNumbers are the numbers of the stored studies with gauge and kind.
func StudyNumbers(ctx context.Context, d *Daemon) []string {
	answer, err := d.Studies.ListStudies(ctx, &pb.ListStudiesRequest{})
	if err != nil {
		return nil
	}
	var names []string
	for _, s := range answer.GetStudies() {
		names = append(names, fmt.Sprintf("%d\t%s, %s", s.GetSeq(), s.GetGaugeId(), wire.FromStudyKind(s.GetKind())))
	}
	return names
}

// OpenJobs are the numbers of the open jobs with their units.
func OpenJobs(ctx context.Context, d *Daemon) []string {
	answer, err := d.Jobs.ListJobs(ctx, &pb.ListJobsRequest{OpenOnly: true})
	if err != nil {
		return nil
	}
	var names []string
	for _, j := range answer.GetJobs() {
		names = append(names, strconv.FormatUint(j.GetId(), 10)+"\t"+j.GetUnitSerial())
	}
	return names
}
