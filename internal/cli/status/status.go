// Package status has the command that shows a station on one screen.
package status

import (
	"context"
	"encoding/hex"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// Command shows the station and what needs attention there.
func Command(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "status",
		Short: "Show the station and what needs attention",
		Long: "Show the address of the daemon, the gauges by their state, and the open jobs.\n" +
			"\n" +
			"Gauges that failed, are silent or suspect need attention. So do checks and\n" +
			"calibrations that are due, and open jobs with a bad verdict. If there are any, the\n" +
			"exit code is 4.",
		Args: app.Arguments(0, 0),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			s, err := ask(ctx, d)
			if err != nil {
				return err
			}
			if err := a.ShowValue(s, func(w io.Writer) error { s.render(w); return nil }); err != nil {
				return err
			}
			if len(s.Attention) > 0 {
				return app.ErrAnswerIsNo
			}
			return nil
		}),
	}
}

// station is what is shown.
type station struct {
	Address   string      `json:"address"`
	Station   string      `json:"station"`
	Open      bool        `json:"access_open"` // nobody is asked who they are
	Daemon    string      `json:"daemon"`      // its version
	Head      string      `json:"history_head"`
	Key       string      `json:"station_key"` // public half
	States    states      `json:"gauges"`
	OpenJobs  []openJob   `json:"open_jobs"`
	Attention []attention `json:"attention"`
}

// states are how many gauges are in each state.
type states struct {
	Live    int `json:"live"`
	Opening int `json:"opening"`
	Silent  int `json:"silent"`
	Absent  int `json:"absent"`
	Failed  int `json:"failed"`
}

type openJob struct {
	ID         uint64 `json:"id"`
	UnitSerial string `json:"unit_serial"`
	Procedure  string `json:"procedure"`
	Stage      string `json:"stage"`
	Outcome    string `json:"outcome"`
	shown      string // the outcome in words
}

// attention is one thing that somebody should look at.
type attention struct {
	What string `json:"what"` // history, gauge, master or job
	ID   string `json:"id"`
	Why  string `json:"why"`
	Do   string `json:"do"` // the command that says more
}

func ask(ctx context.Context, d *app.Daemon) (*station, error) {
	info, err := app.Ask(ctx, d, d.Server.GetServerInfo, &pb.GetServerInfoRequest{})
	if err != nil {
		return nil, err
	}
	gauges, err := app.All(ctx, d, d.Gauges.ListGauges, &pb.ListGaugesRequest{})
	if err != nil {
		return nil, err
	}
	health, err := app.All(ctx, d, d.Health.ListHealth, &pb.ListHealthRequest{})
	if err != nil {
		return nil, err
	}
	masters, err := app.All(ctx, d, d.Health.ListMasters, &pb.ListMastersRequest{})
	if err != nil {
		return nil, err
	}
	jobs, err := app.OpenJobList(ctx, d)
	if err != nil {
		return nil, err
	}
	s := &station{Address: d.Address, Station: info.GetStation(), Open: info.GetAccessOpen(), Daemon: info.GetVersion(), Head: info.GetHead().GetLine(), Key: hex.EncodeToString(info.GetStationKey()), OpenJobs: []openJob{}, Attention: []attention{}}
	for _, m := range info.GetHistoryTroubles() {
		do := "gaugectl history verify"
		if strings.HasPrefix(m.GetCode(), "trouble.exit.") {
			do = "gaugectl exits"
		}
		s.look("history", s.Station, show.Told(m), do)
	}
	for _, g := range gauges.GetGauges() {
		s.gauge(g)
	}
	for _, g := range health.GetGauges() {
		s.health(g)
	}
	for _, m := range masters.GetMasters() {
		if m.GetOverdue() {
			s.look("master", m.GetId(), "its calibration was due on "+show.DayText(m.GetDueTime()), "gaugectl masters")
		}
	}
	for _, j := range jobs {
		s.job(j)
	}
	return s, nil
}

func (s *station) look(what, id, why, do string) {
	s.Attention = append(s.Attention, attention{what, id, why, do})
}

func (s *station) gauge(g *pb.Gauge) {
	switch g.GetState() {
	case pb.GaugeState_GAUGE_STATE_LIVE:
		s.States.Live++
	case pb.GaugeState_GAUGE_STATE_OPENING:
		s.States.Opening++
	case pb.GaugeState_GAUGE_STATE_ABSENT:
		s.States.Absent++
	case pb.GaugeState_GAUGE_STATE_SILENT:
		s.States.Silent++
		s.look("gauge", g.GetId(), "silent since "+show.TimeText(g.GetStateSinceTime()), "gaugectl gauge show "+g.GetId())
	case pb.GaugeState_GAUGE_STATE_FAILED:
		s.States.Failed++
		s.look("gauge", g.GetId(), "failed: "+show.Told(g.GetStateReason()), "gaugectl gauge show "+g.GetId())
	}
}

func (s *station) health(g *pb.GaugeHealth) {
	more := "gaugectl checks " + g.GetGaugeId()
	if g.GetRecallReason() != nil {
		s.look("gauge", g.GetGaugeId(), show.Told(g.GetRecallReason()), "gaugectl recall "+g.GetGaugeId())
	}
	switch {
	case g.GetStanding() == pb.Standing_STANDING_SUSPECT:
		s.look("gauge", g.GetGaugeId(), "suspect: "+show.Told(g.GetStandingReason()), more)
	case g.GetStanding() == pb.Standing_STANDING_UNKNOWN:
		s.look("gauge", g.GetGaugeId(), "set aside: "+show.Told(g.GetStandingReason()), "gaugectl history verify")
	case g.GetDueReason() != nil:
		s.look("gauge", g.GetGaugeId(), "a check is due: "+show.Told(g.GetDueReason()), more)
	case g.GetOverdue():
		s.look("gauge", g.GetGaugeId(), "a check is due", more)
	}
}

func (s *station) job(j *pb.Job) {
	e := j.GetEvaluation()
	s.OpenJobs = append(s.OpenJobs, openJob{
		ID: j.GetId(), UnitSerial: j.GetUnitSerial(), Procedure: j.GetProcedure().GetId(),
		Stage: show.StageText(j.GetStage()), Outcome: string(wire.FromOutcome(e.GetOutcome())), shown: show.OutcomeText(e.GetOutcome()),
	})
	if app.VerdictError(e) != nil {
		s.look("job", fmt.Sprint(j.GetId()), show.OutcomeText(e.GetOutcome())+", unit "+j.GetUnitSerial(), fmt.Sprintf("gaugectl job show %d", j.GetId()))
	}
}

func (s *station) render(w io.Writer) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "Station\t%s\n", s.Station)
		fmt.Fprintf(tab, "Daemon\tgauged %s at %s\n", s.Daemon, s.Address)
		if s.Head != "" {
			fmt.Fprintf(tab, "History\t%s\n", s.Head)
			fmt.Fprintf(tab, "Station key\t%s\n", s.Key)
		}
		if s.Open {
			fmt.Fprintln(tab, "Access\topen: nobody is asked who they are")
		}
		fmt.Fprintf(tab, "Gauges\t%s\n", s.States)
		fmt.Fprintf(tab, "Open jobs\t%d\n", len(s.OpenJobs))
	})
	if len(s.OpenJobs) > 0 {
		fmt.Fprintln(w)
		show.Columns(w, func(tab io.Writer) {
			fmt.Fprintln(tab, "JOB\tUNIT\tPROCEDURE\tSTAGE\tOUTCOME")
			for _, j := range s.OpenJobs {
				fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\n", j.ID, j.UnitSerial, j.Procedure, j.Stage, j.shown)
			}
		})
	}
	if len(s.Attention) == 0 {
		fmt.Fprintln(w, "\nNothing needs attention.")
		return
	}
	fmt.Fprintln(w, "\nThis needs attention:")
	show.Columns(w, func(tab io.Writer) {
		for _, x := range s.Attention {
			fmt.Fprintf(tab, "  ! %s %s\t%s\t%s\n", x.What, x.ID, x.Do, x.Why)
		}
	})
}

func (s states) String() string {
	var texts []string
	for _, one := range []struct {
		n    int
		name string
	}{{s.Live, "live"}, {s.Opening, "opening"}, {s.Silent, "silent"}, {s.Absent, "absent"}, {s.Failed, "failed"}} {
		if one.n > 0 {
			texts = append(texts, fmt.Sprintf("%d %s", one.n, show.Named("state", one.name)))
		}
	}
	if len(texts) == 0 {
		return "none"
	}
	return strings.Join(texts, ", ")
}
