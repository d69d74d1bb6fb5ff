package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
)

func TestPlayIsNamed(t *testing.T) {
	inch := &pb.Length{Picometres: 1, Text: "0.0030", Unit: pb.Unit_UNIT_INCH}
	for got, want := range map[string]string{
		playText("play", mm("0.080")):                                         "play +0.080 mm",
		playText("play", mm("0.000")):                                         "play 0.000 mm",
		playText("preload", mm("-0.050")):                                     "preload 0.050 mm",
		playText("play", inch):                                                "play +0.0030 in",
		playText("play", nil):                                                 "-",
		playText("result", mm("-0.050")):                                      "-0.050 mm",
		playText("play", &pb.Length{Picometres: 5, Text: "5"}):                "play +5 (unit not known)",
		playRangeText("play", between("0.050", "0.150")):                      "play +0.050 mm to +0.150 mm",
		playRangeText("preload", between("-0.080", "-0.030")):                 "preload 0.030 mm to 0.080 mm",
		playRangeText("play", between("-0.020", "0.030")):                     "preload 0.020 mm to play +0.030 mm",
		playRangeText("result", between("-0.020", "0.030")):                   "-0.020 mm to 0.030 mm",
		playRangeText("play", &pb.Range{Max: mm("0.150")}):                    "at most play +0.150 mm",
		playRangeText("preload", &pb.Range{Min: mm("-0.150")}):                "at least preload 0.150 mm",
		playRangeText("play", nil):                                            "not limited",
		lengthText(&pb.Length{Text: "0.35", Unit: pb.Unit_UNIT_NEWTON_METRE}): "0.35 N m",
		lengthText(&pb.Length{Text: "12", Unit: pb.Unit_UNIT_ONE}):            "12",
		lengthText(nil): "-",
		signedText(&pb.Length{Picometres: 1, Text: "40.0", Unit: pb.Unit_UNIT_POUND_FORCE_INCH}): "+40.0 lbf in",
		signedText(mm("-0.112")):                                      "-0.112 mm",
		stateText(pb.GaugeState_GAUGE_STATE_SILENT):                   "silent",
		outcomeText(pb.Outcome_OUTCOME_DOES_NOT_CONFORM):              "does not conform",
		answerText(&pb.Evaluation{Gap: mm("0.4"), Outcome: 6}):        "Conforms: 0.4 mm measured.",
		answerText(&pb.Evaluation{Aim: mm("1.523"), Outcome: 3}):      "Fit a part made 1.523 mm thick.",
		fittedText(&pb.FittedPart{Part: "R-1"}):                       "R-1, thickness not known",
		fittedText(&pb.FittedPart{Part: "R-1", Thickness: mm("1.5")}): "R-1, nominal 1.5 mm thick",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestLargeFamilyShowsTheNeighbourhood leaves out grades that are far away.
func TestLargeFamilyShowsTheNeighbourhood(t *testing.T) {
	e := &pb.Evaluation{AllowedPlay: between("0.050", "0.150")}
	for i := range 20 {
		c := &pb.Candidate{Grade: grade(fmt.Sprintf("S%02d", i), "", fmt.Sprintf("1.%02d0", i), 1), Play: pm(int64(160-10*i) * 1e7), Fits: i == 10 || i == 11}
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
		text := rendered(renderGrades, fitsOf(e)[0])
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
		{Grade: &pb.Grade{Part: "K1", Serves: between("0.10", "0.19")}},
		{Grade: &pb.Grade{Part: "K2", Serves: between("0.20", "0.29")}, Fits: true},
	}
	text := rendered(renderGrades, &pb.Fit{Gap: mm("0.24"), Candidates: rows, Choice: rows[1]})
	want := "\nGrades\n" +
		"      PART  MARK  THICKNESS  SERVES A GAP OF     WOULD GIVE  STOCK  NOTE\n" +
		"      K1    -     -          0.10 mm to 0.19 mm  -           -\n" +
		"  ->  K2    -     -          0.20 mm to 0.29 mm  -           -      recommended\n"
	if text != want {
		t.Errorf("got:\n%s\nwant:\n%s", text, want)
	}
}

func TestAddress(t *testing.T) {
	dir := t.TempDir()
	socket := filepath.Join(dir, "gauged", "gauged.sock")
	if err := os.MkdirAll(filepath.Dir(socket), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(socket, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name, flag string
		env        map[string]string
		want       string
	}{
		{"flag", "127.0.0.1:7000", map[string]string{"GAUGECTL_ADDRESS": "/e"}, "127.0.0.1:7000"},
		{"environment", "", map[string]string{"GAUGECTL_ADDRESS": "/e", "XDG_RUNTIME_DIR": dir}, "/e"},
		{"own daemon", "", map[string]string{"XDG_RUNTIME_DIR": dir}, "unix://" + socket},
		{"no own daemon", "", map[string]string{"XDG_RUNTIME_DIR": filepath.Join(dir, "none")}, systemSocket},
		{"nothing set", "", nil, systemSocket},
	}
	for _, c := range cases {
		a := &app{address: c.flag, getenv: func(name string) string { return c.env[name] }}
		if got := a.daemonAddress(); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	for address, want := range map[string]string{"unix:///run/a": "unix /run/a", "/run/a": "unix /run/a", "bench.local:7000": "tcp bench.local:7000", "[::1]:70": "tcp [::1]:70"} {
		network, dial, err := splitAddress(address)
		if err != nil || network+" "+dial != want {
			t.Errorf("%s: %s %s %v, want %s", address, network, dial, err, want)
		}
	}
	for _, address := range []string{"bench", "unix://relative", "http://a:1", ":", "bench:"} {
		if _, _, err := splitAddress(address); exitCode(err) != exitUsage {
			t.Errorf("%s: %v is no mistake of usage", address, err)
		}
	}
}

// TestUndecidedSaysSomething: a verdict without a result to show is no empty
// heading.
func TestUndecidedSaysSomething(t *testing.T) {
	e := &pb.Evaluation{Outcome: pb.Outcome_OUTCOME_UNDECIDED, Fits: []*pb.Fit{{Place: "left"}, {Place: "right"}}}
	if got := answerText(e); got != "Undecided: what was measured leaves more than one answer." {
		t.Errorf("%q", got)
	}
}
