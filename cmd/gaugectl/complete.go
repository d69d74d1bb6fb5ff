package main

import (
	"context"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/devices"

	pb "gauged/api/gauged/v1"
)

// completionTimeout is how long a shell waits for names; after that it offers none.
const completionTimeout = 500 * time.Millisecond

// completer offers words, as cobra asks for them.
type completer = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective)

// complete sets the completer of a flag that exists.
func (a *app) complete(cmd *cobra.Command, flag string, words completer) {
	if err := cmd.RegisterFlagCompletionFunc(flag, words); err != nil {
		panic(err)
	}
}

func fixed(words ...string) completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}

// names returns a completer that asks the daemon, and offers nothing when it
// does not answer.
func (a *app) names(list func(context.Context, *daemon) []string) completer {
	return func(cmd *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
		d, err := a.connect()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		defer d.close()
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

// first limits a completer to the first argument.
func first(words completer) completer {
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return words(cmd, args, begun)
	}
}

func gaugeNames(ctx context.Context, d *daemon) []string {
	answer, err := d.gauges.ListGauges(ctx, &pb.ListGaugesRequest{})
	if err != nil {
		return nil
	}
	var names []string
	for _, g := range answer.GetGauges() {
		names = append(names, g.GetId())
	}
	return names
}

// gaugeForAll offers each gauge for all measurements, as --gauge takes it.
func gaugeForAll(ctx context.Context, d *daemon) []string {
	names := gaugeNames(ctx, d)
	for i := range names {
		names[i] = "*=" + names[i]
	}
	return names
}

func procedureNames(ctx context.Context, d *daemon) []string {
	answer, err := allProcedures(ctx, d)
	if err != nil {
		return nil
	}
	var names []string
	for _, p := range answer.GetProcedures() {
		names = append(names, p.GetId()+"\t"+p.GetTitle())
	}
	return names
}

func openJobs(ctx context.Context, d *daemon) []string {
	answer, err := d.jobs.ListJobs(ctx, &pb.ListJobsRequest{OpenOnly: true})
	if err != nil {
		return nil
	}
	var names []string
	for _, j := range answer.GetJobs() {
		names = append(names, strconv.FormatUint(j.GetId(), 10)+"\t"+j.GetUnitSerial())
	}
	return names
}

// serialPorts offers the ports of this machine, with what is plugged in there;
// a path may be typed instead.
func (a *app) serialPorts(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	listing, err := devices.Discover(a.machine)
	if err != nil {
		return nil, cobra.ShellCompDirectiveDefault
	}
	var names []string
	for _, p := range listing.Ports {
		switch {
		case p.Kind != devices.PluggedSerial:
		case p.USB != nil:
			names = append(names, p.Path+"\t"+usbText(p.USB))
		default:
			names = append(names, p.Path)
		}
	}
	return names, cobra.ShellCompDirectiveDefault
}
