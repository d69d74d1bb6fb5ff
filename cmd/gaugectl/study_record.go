package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/server/message"
	"gauged/internal/study"

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

func (a *app) studyRecordCommand() *cobra.Command {
	in := &recordInput{}
	cmd := &cobra.Command{
		Use:   "record --gauge GAUGE --kind KIND | --sheet FILE.csv",
		Short: "Lead through the readings of a study at the bench, and store it",
		Long: "Lead through the readings of a study, one after the other: of the kinds crossed and nested\n" +
			"by parts, persons and trials, of bias, linearity, stability and capability by masters and\n" +
			"trials. In each round a person measures all parts; with --seed in an order that nobody\n" +
			"remembers from the last round, and that the same seed gives again.\n\n" +
			"A gauge with a data button is read at each press; of one that sends by itself the newest\n" +
			"reading is taken at each Enter. A value can be typed with its unit, as 10.02 mm. d takes\n" +
			"the last reading back, q leaves. Each reading is in the sheet at once, a CSV file: the same\n" +
			"command goes on where it was left. At the end the daemon evaluates and stores the study.",
		Example: "  gaugectl study record --gauge dial --kind crossed --parts 10 --persons A,B,C --trials 3 --seed 7 --tolerance 0.1\n" +
			"  gaugectl study record --gauge dial --kind capability --master block-25 --trials 25 --tolerance 0.1\n" +
			"  gaugectl study record --sheet dial-crossed.csv",
		Args: arguments(0, 0),
	}
	flags := cmd.Flags()
	flags.StringVar(&in.gauge, "gauge", "", "the `GAUGE`")
	flags.StringVar(&in.kind, "kind", "", "crossed, nested, bias, linearity, stability or capability")
	flags.StringVar(&in.parts, "parts", "10", "how many parts (of each person, when nested), or their names with commas")
	flags.StringSliceVar(&in.persons, "persons", nil, "who measures, with commas")
	flags.IntVar(&in.trials, "trials", 0, "how often each part, or each master, is measured (default 3; one master alone: 25)")
	flags.StringSliceVar(&in.masters, "master", nil, "`MASTER` of the station, with commas for several")
	flags.StringVar(&in.reference, "reference", "", "reference value of what is measured, in the unit of the readings, instead of --master")
	flags.StringVar(&in.tolerance, "tolerance", "", "`WIDTH` of the tolerance in the unit of the readings")
	flags.Uint64Var(&in.seed, "seed", 0, "of the order of the parts in each round; 0: as they are numbered")
	flags.StringVar(&in.sheet, "sheet", "", "CSV `FILE` in which the study is kept (default GAUGE-KIND.csv here)")
	flags.StringVar(&in.by, "by", "", "who records the study (default $GAUGECTL_TECHNICIAN)")
	flags.StringVar(&in.remark, "remark", "", "a remark")
	in.drawing(flags)
	a.complete(cmd, "gauge", a.names(gaugeNames))
	a.complete(cmd, "kind", fixed("crossed", "nested", "bias", "linearity", "stability", "capability"))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		a.running = true
		s, err := in.open()
		if err != nil {
			return err
		}
		return a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error { return a.recordStudy(ctx, d, in, s) })(cmd, args)
	}
	return cmd
}

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
		return nil, usagef("name a gauge and the kind of study with --gauge and --kind, or with --sheet one that was begun")
	}
	begun, err := readSheet(in.sheet)
	switch {
	case err != nil:
		return nil, err
	case begun == nil && planned == nil:
		return nil, fmt.Errorf("there is no sheet %s: begin the study with --gauge and --kind", in.sheet)
	case begun == nil:
		return planned, nil
	case begun.recorded != "":
		return nil, fmt.Errorf("the sheet %s was recorded as study %s: name another with --sheet to measure again", in.sheet, begun.recorded)
	case planned != nil && !planned.same(begun):
		return nil, fmt.Errorf("the sheet %s is of another study, begun with other parts, persons, trials or seed: go on with --sheet %s alone, or name another", in.sheet, in.sheet)
	}
	return begun, nil
}

// plan puts the rows into their order.
func (in *recordInput) plan() (*sheet, error) {
	s := &sheet{gauge: in.gauge, kind: study.Kind(in.kind), tolerance: strings.TrimSpace(in.tolerance)}
	mix := shuffler(in.seed)
	trials := in.trials
	if trials == 0 {
		trials = 3
	}
	if trials < 1 || trials > 1000 {
		return nil, usagef("--trials %d: use 1 to 1000", trials)
	}
	switch s.kind {
	case study.CrossedKind, study.NestedKind:
		parts, err := partNames(in.parts)
		switch {
		case err != nil:
			return nil, err
		case len(in.persons) == 0:
			return nil, usagef("say who measures: --persons A,B,C")
		case len(in.masters) > 0 || in.reference != "":
			return nil, usagef("a %s study has parts and persons, and no masters", in.kind)
		}
		if trials < 2 || len(parts) < 2 {
			return nil, usagef("%s and %s: a %s study needs 2 of each at least, better 10 parts and 3 trials", plural(len(parts), "part"), plural(trials, "trial"), in.kind)
		}
		s.byPerson(parts, in.persons, trials, mix)
	case study.BiasKind, study.LinearityKind, study.StabilityKind, study.CapabilityKind:
		switch {
		case (len(in.masters) > 0) == (in.reference != ""):
			return nil, usagef("say what is measured: --master MASTER of the station, or --reference VALUE")
		case len(in.persons) > 0:
			return nil, usagef("a study of %s knows no persons", in.kind)
		case in.trials == 0 && len(in.masters) < 2:
			trials = 25
		}
		s.byMaster(in.masters, strings.TrimSpace(in.reference), trials, mix)
		if least := leastReadings[s.kind]; len(s.rows) < least {
			return nil, usagef("%s: a study of %s needs %d at least", plural(len(s.rows), "reading"), in.kind, least)
		}
		if s.kind == study.LinearityKind && len(in.masters) < 3 {
			return nil, usagef("a study of linearity needs 3 masters at least, better 5, over the range of the gauge")
		}
		if s.kind == study.CapabilityKind && s.tolerance == "" {
			return nil, usagef("the indices compare the gauge with a tolerance: give its width with --tolerance")
		}
	default:
		return nil, usagef("--kind %q cannot be recorded: use crossed, nested, bias, linearity, stability or capability", in.kind)
	}
	return s, nil
}

// leastReadings are those without which a study is refused in the end.
var leastReadings = map[study.Kind]int{study.BiasKind: 2, study.LinearityKind: 4, study.StabilityKind: 8, study.CapabilityKind: 10}

// partNames are the names of the parts, or the numbers up to a count.
func partNames(text string) ([]string, error) {
	n, err := strconv.Atoi(text)
	if err != nil {
		names := strings.Split(text, ",")
		for i := range names {
			names[i] = strings.TrimSpace(names[i])
			if names[i] == "" || slices.Contains(names[:i], names[i]) {
				return nil, usagef("--parts %q: give each part a name of its own", text)
			}
		}
		return names, nil
	}
	if n < 1 || n > 1000 {
		return nil, usagef("--parts %d: use 1 to 1000", n)
	}
	var names []string
	for i := range n {
		names = append(names, strconv.Itoa(i+1))
	}
	return names, nil
}

// byPerson has each person measure all parts in each round.
func (s *sheet) byPerson(parts, persons []string, trials int, mix func([]string) []string) {
	for trial := range trials {
		for _, person := range persons {
			for _, part := range mix(parts) {
				if s.kind == study.NestedKind {
					part = person + "-" + part
				}
				s.rows = append(s.rows, sheetRow{part: part, person: person, trial: strconv.Itoa(trial + 1)})
			}
		}
	}
}

// byMaster has all masters measured in each round.
func (s *sheet) byMaster(masters []string, reference string, trials int, mix func([]string) []string) {
	for trial := range trials {
		if reference != "" {
			s.rows = append(s.rows, sheetRow{reference: reference, trial: strconv.Itoa(trial + 1)})
		}
		for _, m := range mix(masters) {
			s.rows = append(s.rows, sheetRow{master: m, trial: strconv.Itoa(trial + 1)})
		}
	}
}

// recordStudy takes the readings that are missing and has the study stored.
func (a *app) recordStudy(ctx context.Context, d *daemon, in *recordInput, s *sheet) error {
	by := cmp.Or(in.by, a.getenv("GAUGECTL_TECHNICIAN"))
	if by == "" {
		return usagef("a study needs the name of who records it: --by NAME")
	}
	if err := s.known(ctx, d); err != nil {
		return err
	}
	if err := a.fillSheet(ctx, d, in.sheet, s); err != nil {
		return err
	}
	request := &pb.RecordStudyRequest{Input: s.request(), By: by, Remark: in.remark}
	if n := len(s.remarks); n > 0 {
		request.Remark = strings.TrimPrefix(request.GetRemark()+"; "+plural(n, "reading")+" taken back", "; ")
	}
	answer, err := ask(ctx, d, d.studies.RecordStudy, request)
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
	return a.showStored(&in.studyInput, answer.GetStudy(), answer)
}

// known asks for gauge and masters before anything is measured.
func (s *sheet) known(ctx context.Context, d *daemon) error {
	answer, err := ask(ctx, d, d.health.ListHealth, &pb.ListHealthRequest{})
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(answer.GetGauges(), func(g *pb.GaugeHealth) bool { return g.GetGaugeId() == s.gauge }) {
		return fmt.Errorf("there is no gauge %q: gaugectl gauges shows them", s.gauge)
	}
	for _, r := range s.rows {
		if r.master != "" && !slices.ContainsFunc(answer.GetMasters(), func(m *pb.Master) bool { return m.GetId() == r.master }) {
			return fmt.Errorf("there is no master %q: gaugectl master list shows them", r.master)
		}
	}
	return nil
}

// request is what the daemon makes the study of.
func (s *sheet) request() *pb.StudyInput {
	in := &pb.StudyInput{GaugeId: s.gauge, Kind: message.StudyKind(s.kind), Settings: &pb.StudySettings{Tolerance: s.tolerance}}
	for _, r := range s.rows {
		row := &pb.StudyRow{Part: r.part, Person: r.person, Trial: r.trial, Master: r.master}
		if r.master == "" {
			row.Reference = r.reference
		}
		if seq, err := strconv.ParseUint(r.seq, 10, 64); err == nil {
			row.Reading = &pb.StudyRow_ReadingSeq{ReadingSeq: seq}
		} else {
			row.Reading = &pb.StudyRow_Value{Value: r.value}
			_, row.Unit, _ = typedValue(r.value + " " + r.unit) // it was read when it was typed
		}
		in.Rows = append(in.Rows, row)
	}
	return in
}

// fillSheet leads through the rows that have no reading yet.
func (a *app) fillSheet(ctx context.Context, d *daemon, path string, s *sheet) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if err := s.save(path); err != nil { // before anything is measured: it must be writable
		return err
	}
	readings, err := d.follows(ctx, s.gauge)
	if err != nil {
		return err
	}
	g := &studyGuide{app: a, sheet: s, path: path}
	taker := &checkTaker{app: a, mode: d.mode(ctx, s.gauge), lines: readLines(ctx, a.stdin), readings: readings, said: g.said}
	for i := s.next(); i >= 0; i = s.next() {
		g.ask(i)
		r, err := taker.take(ctx)
		switch {
		case errors.Is(err, errInputEnded), errors.Is(err, errStudyLeft):
			return fmt.Errorf("the study was left after %d of %d readings: the same command goes on, or gaugectl study record --sheet %s", i, len(s.rows), path)
		case errors.Is(err, errRowChanged):
			continue
		case err != nil:
			return err
		}
		if err := g.put(i, r.GetValue().GetText(), unitSymbol(r.GetValue().GetUnit()), strconv.FormatUint(r.GetSeq(), 10)); err != nil {
			return err
		}
	}
	return nil
}
