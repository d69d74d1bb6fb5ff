package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/simulate"
	"gauged/internal/wire"
)

// The procedures are invented: a height, and the play of a shaft that is rocked out.
const (
	heightProcedure = `procedure: height
title: Height
unit: mm
measure:
  height: {title: height, plausible: {min: 2, max: 3}}
judge: {height: {min: 2.2, max: 2.8}}
`
	playProcedure = `procedure: play
title: End play
unit: mm
measure:
  end_play: {title: end play, repeats: 5, capture: end stops}
judge: {end_play: {max: 0.400}}
`
)

// signBench is a real daemon with one simulated gauge on a pseudo-terminal.
type signBench struct {
	*trial
	bench *simulate.Bench
	begun uint64 // the check that is being made
}

func newSignBench(t *testing.T, mode, every string) *signBench {
	t.Helper()
	layout, bounce := "signed-line", ""
	if mode == "button" {
		layout, bounce = "value-with-unit", "bounce: 0s, "
	}
	tr := newTrial(t, socket+`procedures: procedures
masters: {block: {unit: mm, value: 2.5}}
gauges:
  dial: {layout: `+layout+`, mode: `+mode+`, `+bounce+`port: dial, unit: mm, resolution: 0.001, error: 0.004, repeatability: {deviation: 0.001, readings: 31}, pitch: 0.020, presets: [0.050]}
`)
	if err := os.Mkdir(tr.path("procedures"), 0o755); err != nil {
		t.Fatal(err)
	}
	tr.write("procedures/height.yaml", heightProcedure)
	tr.write("procedures/play.yaml", playProcedure)
	bench := simulated(t, tr.dir, fmt.Sprintf("gauges:\n  dial: {layout: %s, mode: %s, every: %s, unit: mm, value: 0.000, noise: 0.001, seed: 5}\n", layout, mode, every))
	tr.start()
	tr.live("dial")
	return &signBench{trial: tr, bench: bench}
}

func (b *signBench) do(command string) {
	b.t.Helper()
	if err := b.bench.Do(command); err != nil {
		b.t.Fatal(err)
	}
}

func (b *signBench) set(value string) { b.t.Helper(); b.do("set dial " + value) }

// gauge is the gauge as it stands.
func (b *signBench) gauge() *pb.Gauge {
	b.t.Helper()
	answer, err := b.gauges().ListGauges(b.t.Context(), &pb.ListGaugesRequest{})
	if err != nil || len(answer.GetGauges()) != 1 {
		b.t.Fatal(answer, err)
	}
	return answer.GetGauges()[0]
}

// press presses the button so many times and returns the numbers of the readings.
func (b *signBench) press(times int) (seqs []uint64) {
	b.t.Helper()
	for range times {
		before := b.gauge().GetLastReading().GetSeq()
		b.do("press dial")
		b.await("the reading is stored", func() bool { return b.gauge().GetLastReading().GetSeq() > before })
		seqs = append(seqs, b.gauge().GetLastReading().GetSeq())
	}
	return seqs
}

// at reads the gauge at a master so many times.
func (b *signBench) at(name, value string, falling bool, times int) *pb.CheckPoint {
	b.t.Helper()
	if b.begun == 0 {
		answer, err := pb.NewHealthServiceClient(b.conn).BeginCheck(b.t.Context(), &pb.BeginCheckRequest{GaugeId: "dial", By: "test", MasterIds: []string{name}})
		if err != nil {
			b.t.Fatal(err)
		}
		b.begun = answer.GetBegunSeq()
	}
	b.set(value)
	return &pb.CheckPoint{MasterId: name, Falling: falling, ReadingSeqs: b.press(times)}
}

func (b *signBench) check(points ...*pb.CheckPoint) {
	b.t.Helper()
	if _, err := pb.NewHealthServiceClient(b.conn).RecordCheck(b.t.Context(), &pb.RecordCheckRequest{GaugeId: "dial", By: "test", FarOffConfirmed: true, Found: points, BegunSeq: b.begun}); err != nil {
		b.t.Fatal(err)
	}
	b.begun = 0
}

// job starts a job, has the gauge measure, and closes it.
func (b *signBench) job(procedure string, measure func(job uint64)) {
	b.t.Helper()
	started, err := b.jobs().StartJob(b.t.Context(), &pb.StartJobRequest{ProcedureId: procedure, UnitSerial: "U-1", By: "test", GaugeIds: map[string]string{"*": "dial"}})
	if err != nil {
		b.t.Fatal(err)
	}
	id := started.GetJob().GetId()
	measure(id)
	if _, err := b.jobs().CloseJob(b.t.Context(), &pb.CloseJobRequest{JobId: id, Reason: "tried"}); err != nil {
		b.t.Fatal(err)
	}
}

func (b *signBench) rocked(job uint64) {
	b.t.Helper()
	captured(b.t.(*testing.T), b.trial, job, func() error { return b.bench.Rock("dial", "0.003", "0.307", "5") })
}

// signTrials have a gauge do what shows the sign when it fails; fail lets it fail from then on.
var signTrials = []struct {
	kind, mode, every, fault string
	use                      func(b *signBench, fail func())
}{
	{"stuck spindle", "stream", "20ms", "stuck_spindle 6", func(b *signBench, fail func()) {
		for i := range 3 {
			if i == 2 {
				fail()
			}
			b.job("play", b.rocked)
		}
	}},
	{"missed counts", "button", "1s", "missed_counts -0.020", func(b *signBench, fail func()) {
		b.check(b.at("zero", "0", false, 2))
		fail()
		b.set("1.5") // and back
		b.check(b.at("zero", "0", false, 2))
	}},
	{"low battery", "button", "1s", "low_battery 50", func(b *signBench, fail func()) {
		fail()
		b.press(20)
	}},
	{"lost resolution", "button", "1s", "lost_resolution yes", func(b *signBench, fail func()) {
		fail()
		for i := range 12 {
			b.set(fmt.Sprintf("%.3f", 1+0.033*float64(i)))
			b.press(1)
		}
	}},
	{"preset left on", "button", "1s", "preset_left_on 0.050", func(b *signBench, fail func()) {
		fail()
		b.check(b.at("zero", "0", false, 2))
	}},
	{"zero far off", "button", "1s", "zero_off -0.015", func(b *signBench, fail func()) {
		fail()
		b.check(b.at("zero", "0", false, 2))
	}},
	{"reversed direction", "button", "1s", "reversed_direction yes", func(b *signBench, fail func()) {
		fail()
		for range 2 {
			b.check(b.at("zero", "0", false, 1), b.at("block", "2.5", false, 1))
		}
	}},
	{"wrong unit", "button", "1s", "wrong_unit yes", func(b *signBench, fail func()) {
		fail()
		b.job("height", func(uint64) {
			b.set("2.500")
			b.press(1)
		})
	}},
	{"noise", "button", "1s", "noise 0.015", func(b *signBench, fail func()) {
		fail()
		b.check(b.at("block", "2.5", false, 10))
	}},
	{"hysteresis", "button", "1s", "hysteresis 0.010", func(b *signBench, fail func()) {
		fail()
		for range 5 {
			b.set("2.4")
			up := b.at("block", "2.5", false, 1)
			b.set("2.6")
			b.check(up, b.at("block", "2.5", true, 1))
		}
	}},
	{"lost frames", "stream", "200ms", "lost_frames 40", func(b *signBench, fail func()) {
		fail()
		b.await("a minute's part of the stream is stored", func() bool { return b.gauge().GetLastReading().GetNumber() >= 40 })
	}},
}

// TestSigns: each fault of a simulated gauge is found by the daemon, and the same gauge
// without it, used alike, shows nothing.
func TestSigns(t *testing.T) {
	for _, c := range signTrials {
		for _, sick := range []bool{true, false} {
			t.Run(fmt.Sprintf("%s/%t", c.kind, sick), func(t *testing.T) {
				t.Parallel()
				b := newSignBench(t, c.mode, c.every)
				c.use(b, func() {
					if sick {
						b.do("fault dial " + c.fault)
					}
				})
				b.shows(c.kind, sick)
			})
		}
	}
}

// signs is a look at the gauge.
func (b *signBench) signs() []*pb.Sign {
	b.t.Helper()
	answer, err := pb.NewHealthServiceClient(b.conn).FindSigns(b.t.Context(), &pb.FindSignsRequest{GaugeId: "dial"})
	if err != nil {
		b.t.Fatal(err)
	}
	return answer.GetSigns()
}

// shows holds what the daemon finds against what is so.
func (b *signBench) shows(kind string, sick bool) {
	b.t.Helper()
	signs := b.signs()
	if kind == "lost frames" {
		// A busy machine holds frames up, and then says that it cannot judge: more come.
		b.await("frames come one by one", func() bool {
			signs = b.signs()
			return slices.ContainsFunc(signs, func(s *pb.Sign) bool {
				return string(wire.FromSignKind(s.GetKind())) == kind && s.GetRefused() == nil && s.GetFound() == sick
			})
		})
	}
	var found, seen []string
	for _, s := range signs {
		seen = append(seen, s.String())
		if string(wire.FromSignKind(s.GetKind())) == kind && s.GetRefused() != nil {
			b.t.Errorf("%s is not judged: %s", kind, s.GetRefused())
		}
		if s.GetFound() {
			found = append(found, string(wire.FromSignKind(s.GetKind())))
		}
	}
	isFound := strings.Contains(strings.Join(found, ","), kind)
	if isFound != sick || !sick && len(found) > 0 {
		b.t.Errorf("found %q:\n%s", found, strings.Join(seen, "\n"))
	}
}
