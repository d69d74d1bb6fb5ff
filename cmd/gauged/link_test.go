package main

import (
	"fmt"
	"slices"
	"testing"
	"time"

	pb "gauged/api/gauged/v1"
	"gauged/internal/gauge"
)

// TestTwoDaemons: a bench daemon without procedures streams its readings to
// the daemon that runs the jobs; after a break nothing is lost or doubled.
func TestTwoDaemons(t *testing.T) {
	site := newTrial(t, socket+"PROCEDURES\ngauges:\n  depth: {outside: yes, mode: button}\n")
	bench := newTrial(t, socket+"evaluator: unix://"+site.path("s")+"\ngauges:\n  depth: {layout: value-with-unit, port: depth}\n")
	line := bench.plug("depth")
	site.start()
	bench.start()
	answer, err := site.jobs().StartJob(t.Context(), &pb.StartJobRequest{
		ProcedureId: "output-shaft-ring", UnitSerial: "T-1", By: "test", GaugeIds: map[string]string{"*": "depth"},
	})
	if err != nil {
		t.Fatal(err)
	}
	id := answer.GetJob().GetId()
	press := func(value string) {
		t.Helper()
		bench.live("depth")
		if _, err := fmt.Fprintf(line, "%s mm\r\n", value); err != nil {
			t.Fatal(err)
		}
	}
	press("+046.415")
	site.await("the first reading is taken", func() bool { return taken(site.job(id)) == 1 })

	site.stop() // the link breaks; the bench goes on measuring
	press("+046.412")
	press("+046.418")
	bench.await("the bench has stored them", func() bool { return len(bench.readings()) == 3 })
	site.start()
	site.await("the readings of the break are taken", func() bool { return taken(site.job(id)) == 3 })

	bench.stop() // and now the bench
	bench.start()
	time.Sleep(gauge.PressedTwiceWithin) // the hand brings the gauge to the next place
	press("+045.030")
	press("+045.036")
	site.await("the part is recommended", func() bool {
		return site.job(id).GetEvaluation().GetFits()[0].GetChoice().GetGrade().GetPart() == "LR2-150"
	})
	if sent, received := bench.readings(), site.readings(); !slices.Equal(sent, received) || len(sent) != 5 {
		t.Errorf("the bench has %v, the site has %v", sent, received)
	}
}
