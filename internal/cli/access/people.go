package access

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

// known is what a person knows and carries. It is read from the input, so that it stands
// neither in the list of processes nor in what a shell remembers.
type known struct{ pin, badge bool }

func (k *known) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&k.pin, "pin", false, "read the PIN, a line of the input; an empty one: none")
	cmd.Flags().BoolVar(&k.badge, "badge", false, "read what the badge reads as, the next line of the input; an empty one: none")
}

// read reads what was asked for; nil for what was not.
func (k *known) read(a *app.App) (pin, badge *string, err error) {
	lines := bufio.NewReader(a.Stdin)
	line := func(what string) (*string, error) {
		fmt.Fprintf(a.Stderr, "%s: ", what)
		text, err := lines.ReadString('\n')
		if err != nil && text == "" {
			return nil, fmt.Errorf("the %s is read from the input, which has no line for it", what)
		}
		return proto.String(strings.TrimSpace(text)), nil
	}
	if k.pin {
		if pin, err = line("PIN"); err != nil {
			return nil, nil, err
		}
	}
	if k.badge {
		badge, err = line("badge")
	}
	return pin, badge, err
}

func personAddCommand(a *app.App) *cobra.Command {
	var role, by string
	var k known
	cmd := &cobra.Command{
		Use: "add NAME", Short: "Add a person", Args: app.Arguments(1, 1),
		Example: "  gaugectl access person add \"Ada Byron\" --role technician --pin",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		r, err := roleOf(role)
		if err != nil {
			return err
		}
		pin, badge, err := k.read(a)
		if err != nil {
			return err
		}
		request := &pb.AddPersonRequest{Name: args[0], Role: r, By: by}
		if pin != nil {
			request.Pin = *pin
		}
		if badge != nil {
			request.Badge = *badge
		}
		answer, err := app.Ask(ctx, d, d.Access.AddPerson, request)
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { renderPeople(w, []*pb.Person{answer.GetPerson()}) })
	})
	roleFlag(a, cmd, &role, "what they may do")
	k.flags(cmd)
	byFlag(cmd, &by)
	return cmd
}

func personChangeCommand(a *app.App) *cobra.Command {
	var role, by string
	var k known
	cmd := &cobra.Command{Use: "change NAME", Short: "Change the role, the PIN or the badge of a person", Args: app.Arguments(1, 1)}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		r, err := roleOf(role)
		if err != nil {
			return err
		}
		request := &pb.ChangePersonRequest{Name: args[0], Role: r, By: by}
		if request.Pin, request.Badge, err = k.read(a); err != nil {
			return err
		}
		answer, err := app.Ask(ctx, d, d.Access.ChangePerson, request)
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { renderPeople(w, []*pb.Person{answer.GetPerson()}) })
	})
	roleFlag(a, cmd, &role, "what they may do from now on")
	k.flags(cmd)
	byFlag(cmd, &by)
	return cmd
}

func personRemoveCommand(a *app.App) *cobra.Command {
	return endCommand(a, "remove NAME", "Remove a person; what they did keeps their name", "%s is removed", func(ctx context.Context, d *app.Daemon, name, by string) (proto.Message, error) {
		return app.Ask(ctx, d, d.Access.RemovePerson, &pb.RemovePersonRequest{Name: name, By: by})
	})
}
