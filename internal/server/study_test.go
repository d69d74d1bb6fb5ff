package server

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/structpb"

	"gauged/internal/health/study"

	gaugedv1 "gauged/api/gauged/v1"
)

const millimetre = gaugedv1.Unit_UNIT_MILLIMETRE

// stored reports a reading and returns its number in the history.
func (r *rig) stored(gaugeID, shown string) uint64 {
	r.t.Helper()
	r.report(gaugeID, shown)
	for _, g := range r.Gauges() {
		if g.ID == gaugeID {
			return g.Last.Seq
		}
	}
	r.t.Fatalf("no gauge %s", gaugeID)
	return 0
}

// published are the rows of the MSA manual's example, typed, and the file itself.
func published(t *testing.T) (rows []*gaugedv1.StudyRow, file []byte) {
	t.Helper()
	file, err := os.ReadFile("../../testdata/statistics/grr_10x3x3.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(file))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil || len(lines) != 91 {
		t.Fatalf("%d lines, %v", len(lines), err)
	}
	at := map[string]int{}
	for i, name := range lines[0] {
		at[strings.TrimSpace(name)] = i
	}
	for _, l := range lines[1:] {
		cell := func(name string) string { return strings.TrimSpace(l[at[name]]) }
		rows = append(rows, &gaugedv1.StudyRow{
			Reading: &gaugedv1.StudyRow_Value{Value: cell("value")}, Unit: millimetre, Part: cell("part"), Person: cell("appraiser"), Trial: cell("trial"),
		})
	}
	return rows, file
}

// TestStudyIsThatOfTheFile: the daemon's figures are those of the file, to the byte,
// and are still there after they were stored.
func TestStudyIsThatOfTheFile(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewStudyServiceClient(r.conn)
	rows, file := published(t)
	input := &gaugedv1.StudyInput{GaugeId: "button", Kind: gaugedv1.StudyKind_STUDY_KIND_CROSSED, Rows: rows, Settings: &gaugedv1.StudySettings{Tolerance: "8"}}
	answer, err := c.RecordStudy(t.Context(), &gaugedv1.RecordStudyRequest{Input: input, By: "quality", Remark: "yearly"})
	if err != nil {
		t.Fatal(err)
	}
	table, err := study.ReadTable("f", file)
	if err != nil {
		t.Fatal(err)
	}
	plan := study.Plan{Kind: study.CrossedKind, Options: study.Options{Tolerance: 8, Seed: 1}}
	d, err := plan.Read(table, nil)
	if err != nil {
		t.Fatal(err)
	}
	want, err := plan.Evaluate(d)
	if err != nil {
		t.Fatal(err)
	}
	figures, err := json.Marshal(want.Figures())
	if err != nil {
		t.Fatal(err)
	}
	got := answer.GetStudy()
	wanted := &structpb.Struct{}
	if err := wanted.UnmarshalJSON(figures); err != nil {
		t.Fatal(err)
	}
	if !proto.Equal(got.GetResult().GetFigures(), wanted) || len(wanted.GetFields()) == 0 {
		t.Errorf("the figures are\n%s\nthose of the file\n%s", got.GetResult().GetFigures(), figures)
	}
	result := got.GetResult()
	if result.GetWord() != gaugedv1.StudyWord_STUDY_WORD_CONDITIONAL || result.GetDistinctCategories() != 4 ||
		fmt.Sprintf("%.2f %.2f", result.GetPercentStudy(), result.GetPercentTolerance()) != "27.86 22.68" || result.Bias != nil || !strings.Contains(english(result.GetVerdict().GetText()), "May be acceptable, depending on the use: repeatability and reproducibility take") || !strings.Contains(english(result.GetVerdict().GetRule()), "under 10 %") {
		t.Errorf("%v", result)
	}
	list, err := c.ListStudies(t.Context(), &gaugedv1.ListStudiesRequest{GaugeId: "button"})
	if err != nil || len(list.GetStudies()) != 1 {
		t.Fatalf("%v, %v", list, err)
	}
	if one := list.GetStudies()[0]; one.GetSeq() != got.GetSeq() || one.GetReadingCount() != 90 || one.GetRemark() != "yearly" || len(one.GetReadings()) != 0 || one.GetResult().GetFigures() != nil {
		t.Errorf("%v", one)
	}
	again, err := c.GetStudy(t.Context(), &gaugedv1.GetStudyRequest{StudySeq: got.GetSeq()})
	if err != nil || !proto.Equal(again.GetStudy().GetResult().GetFigures(), wanted) || len(again.GetStudy().GetReadings()) != 90 || again.GetStudy().GetBy() != "quality" {
		t.Errorf("%v, %v", again.GetStudy().GetResult(), err)
	}
	if _, err := c.GetStudy(t.Context(), &gaugedv1.GetStudyRequest{StudySeq: got.GetSeq() + 1}); status.Convert(err).Message() != fmt.Sprintf("there is no study %d", got.GetSeq()+1) {
		t.Errorf("got %v", err)
	}
}

// TestUnequalStudies: cells with other numbers of repeats, and empty ones, are
// evaluated, and the answer says what cannot be given and why; where nothing can be
// told apart the study is refused, and nothing is stored.
func TestUnequalStudies(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewStudyServiceClient(r.conn)
	rows, _ := published(t)
	with := func(keep func(*gaugedv1.StudyRow) bool) *gaugedv1.RecordStudyRequest {
		input := &gaugedv1.StudyInput{GaugeId: "button", Kind: gaugedv1.StudyKind_STUDY_KIND_CROSSED}
		for _, row := range rows {
			if keep(row) {
				input.Rows = append(input.Rows, row)
			}
		}
		return &gaugedv1.RecordStudyRequest{Input: input, By: "q"}
	}
	for name, keep := range map[string]func(*gaugedv1.StudyRow) bool{
		"unequal repeats": func(r *gaugedv1.StudyRow) bool {
			return r.GetPart() != "3" || r.GetPerson() != "A" || r.GetTrial() == "1"
		},
		"an empty cell": func(r *gaugedv1.StudyRow) bool { return r.GetPart() != "3" || r.GetPerson() != "A" },
	} {
		answer, err := c.RecordStudy(t.Context(), with(keep))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		notes := ""
		for _, n := range answer.GetStudy().GetResult().GetNotes() {
			notes += english(n) + "\n"
		}
		if answer.GetStudy().GetResult().PercentStudy == nil || !strings.Contains(notes, "Average and range: none; averages and ranges need the same number of repeats of each part by each appraiser.") {
			t.Errorf("%s: %v", name, answer.GetStudy().GetResult())
		}
	}
	newest := r.Newest()
	for want, keep := range map[string]func(*gaugedv1.StudyRow) bool{
		"this study cannot be computed: button: each appraiser measured each part once: repeatability cannot be told apart from the interaction of appraiser and part; have each part measured 2 times at least, better 3": func(r *gaugedv1.StudyRow) bool { return r.GetTrial() == "1" },
		`this study cannot be computed: button: there is one part only, "1": the variation of the gauge cannot be compared with that of parts; measure 2 parts at least, better 10`:                                        func(r *gaugedv1.StudyRow) bool { return r.GetPart() == "1" },
		"this study cannot be computed: button: no part that both measured links appraiser A, directly or through others, to B: what is the part and what the appraiser cannot be told apart; have them measure common parts, or study it as nested": func(r *gaugedv1.StudyRow) bool {
			return r.GetPerson() == "A" && r.GetPart() < "4" || r.GetPerson() == "B" && r.GetPart() > "4"
		},
	} {
		_, err := c.RecordStudy(t.Context(), with(keep))
		if st := status.Convert(err); st.Code() != codes.FailedPrecondition || st.Message() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
	if r.Newest() != newest {
		t.Error("a refused study has left facts behind")
	}
}

// TestStudyOfStoredReadings: readings of the gauge by their numbers, those of another
// gauge and much else refused.
func TestStudyOfStoredReadings(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewStudyServiceClient(r.conn)
	shown := []string{"25.00", "25.01", "24.99", "25.02", "25.00"}
	input := &gaugedv1.StudyInput{GaugeId: "button", Kind: gaugedv1.StudyKind_STUDY_KIND_BIAS}
	for _, one := range shown {
		input.Rows = append(input.Rows, &gaugedv1.StudyRow{Reading: &gaugedv1.StudyRow_ReadingSeq{ReadingSeq: r.stored("button", one)}, Reference: "25.000"})
	}
	// The same value typed in another unit: 0.985 in = 25.019 mm.
	input.Rows = append(input.Rows, &gaugedv1.StudyRow{Reading: &gaugedv1.StudyRow_Value{Value: "0.985"}, Unit: gaugedv1.Unit_UNIT_INCH, Reference: "25.000"})
	answer, err := c.RecordStudy(t.Context(), &gaugedv1.RecordStudyRequest{Input: input, ValidateOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	s := answer.GetStudy()
	if s.GetSeq() != 0 || s.GetUnit() != millimetre || s.GetReadings()[5].GetValue() != "25.019" || s.GetResult().GetBias().GetText() != "0.0065" {
		t.Errorf("%v", s)
	}
	if list, err := c.ListStudies(t.Context(), &gaugedv1.ListStudiesRequest{}); err != nil || len(list.GetStudies()) != 0 {
		t.Errorf("an evaluated study is stored: %v, %v", list, err)
	}
	other := r.stored("line", "25.00")
	row := func(row *gaugedv1.StudyRow) func(*gaugedv1.StudyInput) {
		return func(in *gaugedv1.StudyInput) { in.Rows = []*gaugedv1.StudyRow{row} }
	}
	value := func(text string) *gaugedv1.StudyRow_Value { return &gaugedv1.StudyRow_Value{Value: text} }
	for want, change := range map[string]func(*gaugedv1.StudyInput){
		`there is no gauge "x": there are button, line, micrometer, pressed, sent`: func(in *gaugedv1.StudyInput) { in.GaugeId = "x" },
		"a study needs readings": func(in *gaugedv1.StudyInput) { in.Rows = nil },
		"say what is asked: crossed, nested, one-way, bias, linearity, stability, capability": func(in *gaugedv1.StudyInput) { in.Kind = 0 },
		fmt.Sprintf("row 1: reading %d is of line, not of button", other):                     row(&gaugedv1.StudyRow{Reading: &gaugedv1.StudyRow_ReadingSeq{ReadingSeq: other}}),
		"row 1: name a stored reading or a value, and not both":                               row(&gaugedv1.StudyRow{}),
		`row 1: the value "1.0" has no unit: a unit is never guessed`:                         row(&gaugedv1.StudyRow{Reading: value("1.0")}),
		`row 1: "1,0" is not a length: the decimal sign must be a point, not a comma`:         row(&gaugedv1.StudyRow{Reading: value("1,0"), Unit: millimetre}),
		`row 1: there is no master "m"`:                                                       row(&gaugedv1.StudyRow{Reading: value("1"), Unit: millimetre, MasterId: "m"}),
		"row 1: the reference value is that of a master or a number, not both":                row(&gaugedv1.StudyRow{Reading: value("1"), Unit: millimetre, MasterId: "zero", Reference: "0"}),
		"row 1: master zero is a length, the readings are in N":                               row(&gaugedv1.StudyRow{Reading: value("1"), Unit: gaugedv1.Unit_UNIT_NEWTON, MasterId: "zero"}),
		`row 7: the reading is in N, the study in mm: one study has values of one kind`: func(in *gaugedv1.StudyInput) {
			in.Rows = append(in.Rows[:6:6], &gaugedv1.StudyRow{Reading: value("1"), Unit: gaugedv1.Unit_UNIT_NEWTON})
		},
		"the readings are no table of this study: button:7:1: column reference: the reference of this reading is empty: give it, or leave the row out": func(in *gaugedv1.StudyInput) {
			in.Rows = append(in.Rows[:6:6], &gaugedv1.StudyRow{Reading: value("1"), Unit: millimetre})
		},
		"tolerance, the distance of the limits: -1 is not above 0":                 func(in *gaugedv1.StudyInput) { in.Settings = &gaugedv1.StudySettings{Tolerance: "-1"} },
		"a study takes rows of its own or the readings of stored checks, not both": func(in *gaugedv1.StudyInput) { in.Checks = &gaugedv1.StoredChecks{} },
	} {
		wrong := &gaugedv1.StudyInput{GaugeId: "button", Kind: input.GetKind(), Rows: input.GetRows()}
		change(wrong)
		if _, err := c.RecordStudy(t.Context(), &gaugedv1.RecordStudyRequest{Input: wrong, ValidateOnly: true}); status.Convert(err).Message() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
	if _, err := c.RecordStudy(t.Context(), &gaugedv1.RecordStudyRequest{Input: input}); status.Convert(err).Message() != "a study needs the name of who made it" {
		t.Errorf("got %v", err)
	}
}
