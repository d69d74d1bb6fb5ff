package job

import (
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

var (
	overdue = wire.Message(gauge.Say("due.never_checked", gauge.Text("gauge", "depth-1")))
	suspect = wire.Message(gauge.Say("warning.out", gauge.Text("gauge", "dial-2"), gauge.WordOf("standing", "standing", "suspect")))
	away    = wire.Message(gauge.Say("warning.out", gauge.Text("gauge", "dial-2"), gauge.WordOf("standing", "standing", "out-for-calibration")))
)

// TestWarningsSayWhatToDo: below the warnings stands what is to be done, with the commands.
func TestWarningsSayWhatToDo(t *testing.T) {
	for _, c := range []struct {
		warnings []*pb.Message
		want     string
	}{
		{nil, ""},
		{[]*pb.Message{overdue, overdue}, "! gauge depth-1 was never checked against a master\n! gauge depth-1 was never checked against a master\n" +
			"  Check it against a master now.\n    gaugectl master check depth-1\n"},
		{[]*pb.Message{suspect}, "! gauge dial-2 is suspect; no more of its readings are taken\n" +
			"  Check it against a master now. If it passes, it is back in service. Or take it out of service.\n" +
			"    gaugectl master check dial-2\n    gaugectl master standing dial-2 out-for-calibration\n"},
		{[]*pb.Message{away}, "! gauge dial-2 is out for calibration; no more of its readings are taken\n" +
			"  When it is back, check it against a master and put it in service.\n"},
		{[]*pb.Message{clitest.Tell("as it was stored")}, "! as it was stored\n"},
	} {
		if got := show.Rendered(renderWarnings, c.warnings); got != c.want {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
}

// TestStepsTellWhatIsNew: a step does not tell again what was known at the start; what
// came since it tells, and the job shows all.
func TestStepsTellWhatIsNew(t *testing.T) {
	j := clitest.MeasuringJob()
	j.Warnings, j.ToldWarningCount = []*pb.Message{overdue, suspect}, 1
	var out strings.Builder
	a := &app.App{Stdout: &out, Output: app.OutputTable}
	if err := stepDone(a, &pb.EnterReadingResponse{Job: j}, "Stored."); err != nil {
		t.Fatal(err)
	}
	if got := out.String(); strings.Contains(got, "never checked") || strings.Count(got, "dial-2 is suspect") != 1 {
		t.Errorf("after a step:\n%s", got)
	}
	if got := show.Rendered(renderJob, j); !strings.Contains(got, "never checked") || !strings.Contains(got, "dial-2 is suspect") {
		t.Errorf("the job:\n%s", got)
	}
}

// TestRunSaysWhatToDo: the session tells a warning and its remedy once.
func TestRunSaysWhatToDo(t *testing.T) {
	var out strings.Builder
	j := clitest.MeasuringJob()
	j.Warnings = []*pb.Message{suspect}
	s := &session{out: &out, job: j, told: map[uint64]string{}, warned: map[string]bool{}}
	s.tell()
	s.tell()
	if n := strings.Count(out.String(), "    gaugectl master check dial-2\n"); n != 1 {
		t.Errorf("said %d times:\n%s", n, out.String())
	}
}

// TestFittedAsksForNoOtherGrade: that a grade cannot be had is not shown once its place
// has its part.
func TestFittedAsksForNoOtherGrade(t *testing.T) {
	e := clitest.Decision()
	if got := show.Rendered(show.RenderAnswer, e); !strings.Contains(got, "out of stock") {
		t.Errorf("before fitting:\n%s", got)
	}
	e.GetFits()[0].Fitted = &pb.FittedPart{Part: "R-194"}
	if got := show.Rendered(show.RenderAnswer, e); strings.Contains(got, "out of stock") {
		t.Errorf("after fitting:\n%s", got)
	}
}
