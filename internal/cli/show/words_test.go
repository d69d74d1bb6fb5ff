package show

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/cli/clitest"
	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

func TestPlayIsNamed(t *testing.T) {
	inch := wire.Quantity(gauge.MustLength("0.0030", gauge.Inch), "0.0030", gauge.Inch)
	for got, want := range map[string]string{
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, clitest.MM("0.080")):                          "play +0.080 mm",
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, clitest.MM("0.000")):                          "play 0.000 mm",
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD, clitest.MM("-0.050")):                      "preload 0.050 mm",
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, inch):                                         "play +0.0030 in",
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, nil):                                          "-",
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_RESULT, clitest.MM("-0.050")):                       "-0.050 mm",
		PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, &pb.Quantity{Text: "5"}):                      "play 5 (unit not known)",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, clitest.Between("0.050", "0.150")):       "play +0.050 mm to +0.150 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD, clitest.Between("-0.080", "-0.030")):  "preload 0.030 mm to 0.080 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, clitest.Between("-0.020", "0.030")):      "preload 0.020 mm to play +0.030 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_RESULT, clitest.Between("-0.020", "0.030")):    "-0.020 mm to 0.030 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, &pb.Range{Max: clitest.MM("0.150")}):     "play at most 0.150 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD, &pb.Range{Min: clitest.MM("-0.150")}): "preload at most 0.150 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD, &pb.Range{Max: clitest.MM("-0.030")}): "preload at least 0.030 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD, clitest.Between("-0.080", "0.000")):   "preload 0.000 mm to 0.080 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, &pb.Range{Min: clitest.MM("0.050")}):     "play at least 0.050 mm",
		PlayRangeText(pb.ClosingDimension_CLOSING_DIMENSION_PLAY, nil):                                     "no limit",
		LengthText(&pb.Quantity{Text: "0.35", Unit: pb.Unit_UNIT_NEWTON_METRE}):                            "0.35 N m",
		LengthText(&pb.Quantity{Text: "12", Unit: pb.Unit_UNIT_ONE}):                                       "12",
		LengthText(nil): "-",
		SignedText(wire.Quantity(gauge.MustLength("40", gauge.PoundForceInch), "40.0", gauge.PoundForceInch)): "+40.0 lbf in",
		SignedText(clitest.MM("-0.112")):                                                    "-0.112 mm",
		StateText(pb.GaugeState_GAUGE_STATE_SILENT):                                         "silent",
		OutcomeText(pb.Outcome_OUTCOME_DOES_NOT_CONFORM):                                    "Does not conform",
		answerText(&pb.Evaluation{Fits: []*pb.Fit{{Gap: clitest.MM("0.4")}}, Outcome: 6}):   "Conforms: 0.4 mm measured.",
		answerText(&pb.Evaluation{Fits: []*pb.Fit{{Aim: clitest.MM("1.523")}}, Outcome: 3}): "Fit a part made 1.523 mm thick.",
		FittedText(&pb.FittedPart{Part: "R-1"}):                                             "R-1, thickness not known",
		FittedText(&pb.FittedPart{Part: "R-1", Thickness: clitest.MM("1.5")}):               "R-1, nominally 1.5 mm thick",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestLargeFamilyShowsTheNeighbourhood leaves out grades that are far away.
func TestLargeFamilyShowsTheNeighbourhood(t *testing.T) {
	e := &pb.Fit{AllowedPlay: clitest.Between("0.050", "0.150")}
	for i := range 20 {
		c := &pb.Candidate{Grade: clitest.Grade(fmt.Sprintf("S%02d", i), "", fmt.Sprintf("1.%02d0", i), 1), Play: clitest.PM(int64(160-10*i) * 1e7), Fits: i == 10 || i == 11}
		e.Candidates = append(e.Candidates, c)
	}
	all := e.GetCandidates()
	cases := []struct {
		name                     string
		choice, thinner, thicker *pb.Candidate
		want                     string
	}{
		{"two fit", all[11], all[10], all[12], "S10 S11 S12 (10 thinner and 7 thicker not shown)"},
		{"nothing fits", nil, all[10], all[11], "S10 S11 (10 thinner and 8 thicker not shown)"},
	}
	for _, c := range cases {
		e.Choice, e.Thinner, e.Thicker = c.choice, c.thinner, c.thicker
		for i, grade := range all {
			grade.Fits = c.choice != nil && (i == 10 || i == 11)
		}
		var got []string
		text := Rendered(renderGrades, e)
		for word := range strings.FieldsSeq(text) {
			if len(word) == 3 && word[0] == 'S' {
				got = append(got, word)
			}
		}
		shown := strings.Join(got, " ") + " " + strings.TrimSpace(text[strings.LastIndex(text, "  ("):])
		if shown != c.want {
			t.Errorf("%s: %s, want %s in\n%s", c.name, shown, c.want, text)
		}
	}
}

// TestTableShowsWhichGapsAGradeServes renders a family that is chosen by the gap.
func TestTableShowsWhichGapsAGradeServes(t *testing.T) {
	rows := []*pb.Candidate{
		{Grade: &pb.Grade{Part: "K1", Serves: clitest.Between("0.10", "0.19")}},
		{Grade: &pb.Grade{Part: "K2", Serves: clitest.Between("0.20", "0.29")}, Fits: true},
	}
	text := Rendered(renderGrades, &pb.Fit{Gap: clitest.MM("0.24"), Candidates: rows, Choice: rows[1]})
	want := "\nGrades\n" +
		"      PART  MARK  THICKNESS  FOR GAPS            GIVES  STOCK  NOTE\n" +
		"      K1    -     -          0.10 mm to 0.19 mm  -      -\n" +
		"  ->  K2    -     -          0.20 mm to 0.29 mm  -      -      recommended\n"
	if text != want {
		t.Errorf("got:\n%s\nwant:\n%s", text, want)
	}
}

// TestUndecidedSaysSomething: a verdict without a result to show is no empty
// heading.
func TestUndecidedSaysSomething(t *testing.T) {
	e := &pb.Evaluation{Outcome: pb.Outcome_OUTCOME_UNDECIDED, Fits: []*pb.Fit{{Place: "left"}, {Place: "right"}}}
	if got := answerText(e); got != "Undecided: the measured values allow more than one answer." {
		t.Errorf("%q", got)
	}
}
