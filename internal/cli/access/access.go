// Package access has the commands that say who may come in.
package access

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// Command is the group of commands that say who may come in.
func Command(a *app.App) *cobra.Command {
	person := a.Group("person", "Add, change or remove a person", personAddCommand(a), personChangeCommand(a), personRemoveCommand(a))
	token := a.Group("token", "Make or revoke the token of a program", tokenMakeCommand(a), tokenRevokeCommand(a))
	device := a.Group("device", "Pair a device, or unpair it", devicePairCommand(a), deviceUnpairCommand(a))
	return a.Group("access", "Say who may come in, and what they may do",
		whoCommand(a), peopleCommand(a), person, tokensCommand(a), token, devicesCommand(a), device, logCommand(a))
}

// roles are the words of the roles.
var roles = func() (words []string) {
	for n := 1; n < len(pb.Role_name); n++ {
		words = append(words, roleWord(pb.Role(n)))
	}
	return words
}()

func roleWord(r pb.Role) string { return strings.ToLower(strings.TrimPrefix(r.String(), "ROLE_")) }

func doorWord(d pb.Door) string { return strings.ToLower(strings.TrimPrefix(d.String(), "DOOR_")) }

// roleOf reads the word of a role; empty is none.
func roleOf(word string) (pb.Role, error) {
	r := pb.Role_value["ROLE_"+strings.ToUpper(word)]
	if word != "" && r == 0 {
		return 0, app.NotOneOf("--role", word, roles)
	}
	return pb.Role(r), nil
}

func roleFlag(a *app.App, cmd *cobra.Command, to *string, usage string) {
	cmd.Flags().StringVar(to, "role", "", usage+": "+strings.Join(roles, ", "))
	a.Complete(cmd, "role", app.Fixed(roles...))
}

func whoCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use: "who", Short: "Show as whom the daemon knows you", Args: app.Arguments(0, 0),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			answer, err := app.Ask(ctx, d, d.Access.WhoAmI, &pb.WhoAmIRequest{})
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) {
				if answer.GetDoor() == pb.Door_DOOR_OPEN {
					fmt.Fprintln(w, "nobody is asked who they are: the station's file says access: open")
					return
				}
				fmt.Fprintf(w, "%s, %s, known by the %s\n", answer.GetName(), roleWord(answer.GetRole()), doorWord(answer.GetDoor()))
			})
		}),
	}
}

func peopleCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{Use: "people", Short: "Show the people and what they may do", Args: app.Arguments(0, 0)}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Access.ListPeople, &pb.ListPeopleRequest{},
			func(w io.Writer, answer *pb.ListPeopleResponse) { renderPeople(w, answer.GetPeople()) })
	})
	l.Flags(cmd, false)
	return cmd
}

func renderPeople(w io.Writer, people []*pb.Person) {
	if len(people) == 0 {
		fmt.Fprintln(w, "There are no people.")
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "NAME\tROLE\tPIN\tBADGE")
		for _, p := range people {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\n", p.GetName(), roleWord(p.GetRole()), yes(p.GetHasPin()), yes(p.GetHasBadge()))
		}
	})
}

func yes(has bool) string {
	if has {
		return "yes"
	}
	return ""
}

func devicesCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{Use: "devices", Short: "Show the paired devices", Args: app.Arguments(0, 0)}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Access.ListDevices, &pb.ListDevicesRequest{},
			func(w io.Writer, answer *pb.ListDevicesResponse) { renderDevices(w, answer.GetDevices()) })
	})
	l.Flags(cmd, false)
	return cmd
}

func renderDevices(w io.Writer, devices []*pb.Device) {
	if len(devices) == 0 {
		fmt.Fprintln(w, "There are no devices.")
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "DEVICE\tTITLE\tPAIRED\tBY\tUNPAIRED")
		for _, d := range devices {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\n", d.GetDeviceId(), d.GetTitle(), show.TimeText(d.GetPairTime()), d.GetBy(), show.TimeText(d.GetUnpairTime()))
		}
	})
}

func devicePairCommand(a *app.App) *cobra.Command {
	var by string
	cmd := &cobra.Command{
		Use: "pair", Short: "Show a code that pairs one device with the page", Args: app.Arguments(0, 0),
		Long: "Show a code, which pairs one device with the page within ten minutes: open the page\n" +
			"on the device and type it in there.",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		answer, err := app.Ask(ctx, d, d.Access.BeginPairing, &pb.BeginPairingRequest{By: by})
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) {
			fmt.Fprintf(w, "%s\nopen the page on the device and type this in, before %s\n", answer.GetCode(), show.TimeText(answer.GetExpireTime()))
		})
	})
	byFlag(cmd, &by)
	return cmd
}

func deviceUnpairCommand(a *app.App) *cobra.Command {
	return endCommand(a, "unpair DEVICE", "End a device at once", "device %s is unpaired", func(ctx context.Context, d *app.Daemon, id, by string) (proto.Message, error) {
		return app.Ask(ctx, d, d.Access.UnpairDevice, &pb.UnpairDeviceRequest{DeviceId: id, By: by})
	})
}

// endCommand ends what its argument names. There is nothing to tell but that it is done,
// which done says.
func endCommand(a *app.App, use, short, done string, end func(ctx context.Context, d *app.Daemon, named, by string) (proto.Message, error)) *cobra.Command {
	var by string
	cmd := &cobra.Command{Use: use, Short: short, Args: app.Arguments(1, 1), Annotations: map[string]string{app.TableOnly: "there is nothing to tell but that it is done"}}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		answer, err := end(ctx, d, args[0], by)
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { fmt.Fprintf(w, done+"\n", args[0]) })
	})
	byFlag(cmd, &by)
	return cmd
}

// byFlag is who asks for a change: whom the daemon knows, where nobody is named.
func byFlag(cmd *cobra.Command, by *string) {
	cmd.Flags().StringVar(by, "by", "", "who asks for it, where the daemon asks nobody who they are")
}
