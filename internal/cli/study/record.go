package study

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/cli/take"
	"gauged/internal/gauge"
	"gauged/internal/health/order"
	"gauged/internal/health/study"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// recordInput is a study at the bench as the flags ask for it.
type recordInput struct {
	studyInput
	gauge, kind, parts, reference, tolerance, sheet, by, remark string
	persons, masters                                            []string
	trials                                                      int
	seed                                                        uint64
}

func studyRecordCommand(a *app.App) *cobra.Command {
	in := &recordInput{}
	cmd := &cobra.Command{
		Use:   "record GAUGE --kind KIND | --sheet FILE.csv",
		Short: "Lead through a study at the bench, and store it",
		Long: "Lead through the readings of a study, one after the other. Crossed and nested studies\n" +
			"go by parts, persons and trials. Bias, linearity, stability and capability go by\n" +
			"masters and trials. With --seed each round has its own order of parts; the same seed\n" +
			"gives the same order.\n" +
			"\n" +
			"A gauge with a data button is read at each press. Of a gauge that sends by itself,\n" +
			"Enter takes the newest reading. A value can be typed with its unit, such as 10.02 mm.\n" +
			"d discards the last reading, q leaves.\n" +
			"Each reading is in the sheet at once, a CSV file. The same command continues where you\n" +
			"left. At the end the daemon evaluates and stores the study.",
		Example: "  gaugectl study record dial --kind crossed --parts 10 --persons A,B,C --trials 3 --seed 7 --tolerance 0.1mm\n" +
			"  gaugectl study record dial --kind capability --master block-25 --trials 25 --tolerance 0.1mm\n" +
			"  gaugectl study record --sheet dial-crossed.csv",
		Args:              app.Arguments(0, 1),
		ValidArgsFunction: app.First(a.Names(app.GaugeNames)),
	}
	flags := cmd.Flags()
	flags.StringVar(&in.kind, "kind", "", "crossed, nested, bias, linearity, stability or capability")
	flags.StringVar(&in.parts, "parts", "10", "number of parts (of each person, when nested), or their names with commas")
	flags.StringSliceVar(&in.persons, "persons", nil, "the persons who measure, with commas")
	flags.IntVar(&in.trials, "trials", 0, "readings of each part or master (default 3; for one master alone 25)")
	flags.StringSliceVar(&in.masters, "master", nil, "the `MASTER`, or several with commas")
	flags.StringVar(&in.reference, "reference", "", "reference value of what is measured, instead of --master")
	flags.StringVar(&in.tolerance, "tolerance", "", "`WIDTH` of the tolerance, upper less lower limit, such as 0.1mm; without a unit it is in that of the readings")
	flags.Uint64Var(&in.seed, "seed", 0, "seed of the order of parts in each round; 0 keeps their order")
	flags.StringVar(&in.sheet, "sheet", "", "keep the study in this CSV `FILE` (default GAUGE-KIND.csv)")
	app.ByFlag(flags, &in.by, "who records the study")
	flags.StringVar(&in.remark, "remark", "", "a remark")
	in.drawing(flags)
	a.Complete(cmd, "kind", app.Fixed(recorded...))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		in.gauge = strings.Join(args, "")
		s, err := in.open()
		if err != nil {
			a.Running = true
			return err
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return recordStudy(a, ctx, d, in, s) })(cmd, args)
	}
	return cmd
}

// recorded are the kinds of study that are measured at the bench.
var recorded = []string{"crossed", "nested", "bias", "linearity", "stability", "capability"}

// open returns the sheet to go on with, or a new one.
func (in *recordInput) open() (*sheet, error) {
	var planned *sheet
	if in.gauge != "" {
		var err error
		if planned, err = in.plan(); err != nil {
			return nil, err
		}
		in.sheet = cmp.Or(in.sheet, in.gauge+"-"+in.kind+".csv")
	}
	if in.sheet == "" {
		return nil, app.Usagef("name a gauge, with the kind of study as --kind, or with --sheet a study that was begun")
	}
	begun, err := readSheet(in.sheet)
	switch {
	case err != nil:
		return nil, err
	case begun == nil && planned == nil:
		return nil, fmt.Errorf("there is no sheet %s: begin the study with a gauge and --kind", in.sheet)
	case begun == nil:
		return planned, nil
	case begun.recorded != "":
		return nil, fmt.Errorf("the sheet %s was recorded as study %s: name another with --sheet to measure again", in.sheet, begun.recorded)
	case planned != nil && !planned.same(begun):
		return nil, fmt.Errorf("the sheet %s is of another study, begun with other parts, persons, trials or seed: continue with --sheet %s alone, or name another file", in.sheet, in.sheet)
	}
	return begun, nil
}

// plan puts the rows into their order.
func (in *recordInput) plan() (*sheet, error) {
	s := &sheet{gauge: in.gauge, kind: study.Kind(in.kind), tolerance: strings.Join(strings.Fields(in.tolerance), " ")}
	if !slices.Contains(recorded, in.kind) {
		return nil, app.NotOneOf("--kind", in.kind, recorded)
	}
	if s.tolerance != "" {
		if _, _, err := app.Size("tolerance", s.tolerance); err != nil {
			return nil, err
		}
	}
	steps, err := order.Plan{
		Kind: s.kind, Parts: in.parts, Persons: in.persons, Masters: in.masters, Reference: strings.TrimSpace(in.reference),
		Tolerance: s.tolerance, Trials: in.trials, Seed: in.seed,
	}.Steps()
	if err != nil {
		return nil, app.Usagef("%w", err)
	}
	for _, one := range steps {
		s.rows = append(s.rows, sheetRow{part: one.Part, person: one.Person, trial: one.Trial, master: one.Master, reference: one.Reference})
	}
	return s, nil
}

// recordStudy takes the readings that are missing and has the study stored.
func recordStudy(a *app.App, ctx context.Context, d *app.Daemon, in *recordInput, s *sheet) error {
	by := a.By(in.by)
	if by == "" {
		return app.Usagef("a study needs the name of who records it: --by NAME")
	}
	if err := s.known(ctx, d); err != nil {
		return err
	}
	if err := fillSheet(a, ctx, d, in.sheet, s); err != nil {
		return err
	}
	input, err := s.request()
	if err != nil {
		return err
	}
	request := &pb.RecordStudyRequest{Input: input, By: by, Remark: in.remark}
	if n := len(s.remarks); n > 0 {
		request.Remark = strings.TrimPrefix(request.GetRemark()+"; "+show.Plural(n, "reading")+" discarded", "; ")
	}
	answer, err := app.Ask(ctx, d, d.Studies.RecordStudy, request)
	if err != nil {
		return fmt.Errorf("the readings are in %s: %w", in.sheet, err)
	}
	s.recorded = strconv.FormatUint(answer.GetStudy().GetSeq(), 10)
	for i, r := range answer.GetStudy().GetReadings() { // of masters too, for who reads the sheet as a file
		s.rows[i].reference = r.GetReference()
	}
	if err := s.save(in.sheet); err != nil {
		return err
	}
	return showStored(a, &in.studyInput, answer.GetStudy(), answer)
}

// known asks for gauge and masters before anything is measured.
func (s *sheet) known(ctx context.Context, d *app.Daemon) error {
	if _, err := app.Ask(ctx, d, d.Health.GetHealth, &pb.GetHealthRequest{GaugeId: s.gauge}); err != nil {
		return err
	}
	answer, err := app.All(ctx, d, d.Health.ListMasters, &pb.ListMastersRequest{})
	if err != nil {
		return err
	}
	for _, r := range s.rows {
		if r.master != "" && !slices.ContainsFunc(answer.GetMasters(), func(m *pb.Master) bool { return m.GetId() == r.master }) {
			return fmt.Errorf("there is no master %q: gaugectl masters shows them", r.master)
		}
	}
	return nil
}

// request is what the daemon makes the study of.
func (s *sheet) request() (*pb.StudyInput, error) {
	tolerance, err := widthIn(s.tolerance, func() (gauge.Unit, error) { return gauge.ParseUnit(s.unit(), gauge.KindLength) })
	if err != nil {
		return nil, err
	}
	in := &pb.StudyInput{GaugeId: s.gauge, Kind: wire.StudyKind(s.kind), Settings: &pb.StudySettings{Tolerance: tolerance}}
	for _, r := range s.rows {
		row := &pb.StudyRow{Part: r.part, Person: r.person, Trial: r.trial, MasterId: r.master}
		if r.master == "" {
			row.Reference = r.reference
		}
		if seq, err := strconv.ParseUint(r.seq, 10, 64); err == nil {
			row.Reading = &pb.StudyRow_ReadingSeq{ReadingSeq: seq}
		} else {
			row.Reading = &pb.StudyRow_Value{Value: r.value}
			_, row.Unit, _ = app.TypedValue(r.value + " " + r.unit) // it was read when it was typed
		}
		in.Rows = append(in.Rows, row)
	}
	return in, nil
}

// fillSheet leads through the rows that have no reading yet.
func fillSheet(a *app.App, ctx context.Context, d *app.Daemon, path string, s *sheet) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if err := s.save(path); err != nil { // before anything is measured: it must be writable
		return err
	}
	readings, err := take.Follows(d, ctx, s.gauge)
	if err != nil {
		return err
	}
	g := &studyGuide{app: a, sheet: s, path: path}
	taker := &take.CheckTaker{App: a, Mode: take.Mode(d, ctx, s.gauge), Lines: app.ReadLines(ctx, a.Stdin), Readings: readings, Said: g.said}
	for i := s.next(); i >= 0; i = s.next() {
		g.ask(i)
		r, err := taker.Take(ctx)
		switch {
		case errors.Is(err, take.ErrInputEnded), errors.Is(err, errStudyLeft):
			return fmt.Errorf("the study was left after %d of %d readings: continue with the same command, or with gaugectl study record --sheet %s", i, len(s.rows), path)
		case errors.Is(err, errRowChanged):
			continue
		case err != nil:
			return err
		}
		if err := g.put(i, r.GetValue().GetText(), show.UnitSymbol(r.GetValue().GetUnit()), strconv.FormatUint(r.GetSeq(), 10)); err != nil {
			return err
		}
	}
	return nil
}
