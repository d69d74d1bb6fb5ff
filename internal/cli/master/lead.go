package master

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/cli/take"
	"gauged/internal/health/check"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// What somebody says at a check instead of giving a reading.
var (
	errDiscard = errors.New("discard the last reading")
	errMeant   = errors.New("take the questioned reading")
	errQuit    = errors.New("leave the check")
)

// How a check is left.
var (
	errGivenUp = errors.New("the check was cancelled")
	errKept    = errors.New("the check is kept")
)

// checkLead takes the readings of a check in the order of its points.
type checkLead struct {
	app     *app.App
	taker   *take.CheckTaker
	request *pb.RecordCheckRequest
	points  []wantedPoint
	values  map[string]*pb.Quantity // of the masters
	held    *take.TakenReading      // that was asked back
}

// takeAll takes the readings that are still wanted at the points.
func takeAll(a *app.App, ctx context.Context, d *app.Daemon, request *pb.RecordCheckRequest, points []wantedPoint, masters []*pb.Master) error {
	taker, stop, err := take.New(a, ctx, d, request.GetGaugeId())
	if err != nil {
		return err
	}
	defer stop()
	l := &checkLead{app: a, taker: taker, request: request, points: points, values: map[string]*pb.Quantity{}}
	taker.Said = l.said
	for _, m := range masters {
		l.values[m.GetId()] = m.GetValue()
	}
	taken := request.GetFound()
	request.Found = nil
	for _, p := range points {
		point := &pb.CheckPoint{MasterId: p.master, Falling: p.falling}
		for _, t := range taken {
			if t.GetMasterId() == p.master && t.GetFalling() == p.falling {
				point.ReadingSeqs = append(point.ReadingSeqs, t.GetReadingSeqs()...)
			}
		}
		request.Found = append(request.Found, point)
	}
	for i, n := l.next(); i >= 0; i, n = l.next() {
		if err := l.one(ctx, i, n); err != nil {
			return err
		}
	}
	return nil
}

// next is the first point that wants a reading, and how many it has; -1: none does.
func (l *checkLead) next() (point, has int) {
	for i, p := range l.request.GetFound() {
		if n := readingsAt(p); n < l.points[i].repeats {
			return i, n
		}
	}
	return -1, 0
}

func readingsAt(p *pb.CheckPoint) int { return len(p.GetReadingSeqs()) + len(p.GetTyped()) }

// one asks for a reading at a point and takes it, or does what is said instead.
func (l *checkLead) one(ctx context.Context, i, n int) error {
	p := l.points[i]
	if l.held == nil {
		way := ""
		if p.falling {
			way = ", " + show.Say("check.falling")
		}
		l.sayf("%s (%s)%s: reading %d of %d", p.master, show.LengthText(l.values[p.master]), way, n+1, p.repeats)
	}
	r, err := l.taker.One(ctx)
	held := l.held
	l.held = nil
	switch {
	case errors.Is(err, errQuit):
		return l.leave(ctx)
	case errors.Is(err, errMeant) && held != nil:
		l.request.FarOffConfirmed = true
		l.take(i, *held)
	case errors.Is(err, errMeant):
		l.sayf("  no reading is in question")
	case errors.Is(err, errDiscard) && held != nil:
		l.sayf("  discarded")
	case errors.Is(err, errDiscard):
		l.discard(i, n)
	case err != nil:
		return err
	case l.absurd(p.master, r):
		l.held = &r
		l.sayf("  %s at %s (%s) is far off: another master, another unit, a preset, or not yet at rest?\n  Measure again, or type y to take it anyway", show.ReadingText(r.Value), p.master, show.LengthText(l.values[p.master]))
	default:
		l.take(i, r)
	}
	return nil
}

// absurd reports whether a reading is to be asked back.
func (l *checkLead) absurd(master string, r take.TakenReading) bool {
	value := l.values[master]
	return value != nil && r.Value != nil && check.FarOff(wire.FromQuantity(r.Value), wire.FromQuantity(value))
}

func (l *checkLead) take(i int, r take.TakenReading) {
	p := l.request.GetFound()[i]
	if r.Typed != nil {
		p.Typed = append(p.Typed, r.Typed)
		return
	}
	p.ReadingSeqs = append(p.ReadingSeqs, r.Seq)
	l.sayf("  %s", show.ReadingText(r.Value))
}

// discard takes the last reading out again; point i is at its reading n.
func (l *checkLead) discard(i, n int) {
	if n == 0 {
		i--
	}
	if i < 0 {
		l.sayf("  there is no reading to discard yet")
		return
	}
	p := l.request.GetFound()[i]
	if k := len(p.GetTyped()); k > 0 {
		p.Typed = p.GetTyped()[:k-1]
	} else {
		p.ReadingSeqs = p.GetReadingSeqs()[:len(p.GetReadingSeqs())-1]
	}
	l.sayf("  discarded: the last reading at %s", p.GetMasterId())
}

// said takes a line for what it says instead of a reading.
func (l *checkLead) said(line string) error {
	switch strings.ToLower(line) {
	case "d":
		return errDiscard
	case "y":
		return errMeant
	case "q":
		return errQuit
	}
	l.sayf("  %q is not an answer here: d discards the last reading, q leaves the check", line)
	return nil
}

// leave asks whether the check is given up or kept. What was typed is stored with the
// check alone, so that such a check is given up.
func (l *checkLead) leave(ctx context.Context) error {
	if l.taker.Mode == show.ModeTyped {
		return errGivenUp
	}
	l.sayf("Keep the check to continue it later (k), or cancel it (c)?")
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case line, open := <-l.taker.Lines:
			switch answer := strings.ToLower(strings.TrimSpace(line)); {
			case !open, answer == "c":
				return errGivenUp
			case answer == "k":
				l.sayf("Kept for a day. Until then, its button feeds no job. Continue it with:\n  %s", l.again())
				return errKept
			}
			l.sayf("k or c?")
		}
	}
}

// again is the command that takes the check up again.
func (l *checkLead) again() string {
	words := []string{"gaugectl master check", l.request.GetGaugeId(), fmt.Sprintf("--begun %d", l.request.GetBegunSeq())}
	for _, p := range l.points {
		if !p.falling { // those from above are those of the plan
			words = append(words, fmt.Sprintf("--at %s:%d", p.master, p.repeats))
		}
	}
	if slices.ContainsFunc(l.points, func(p wantedPoint) bool { return p.falling }) {
		words = words[:3] // only a plan has such points
	}
	if l.request.GetFarOffConfirmed() {
		words = append(words, "--meant")
	}
	for _, p := range l.request.GetFound() {
		if len(p.GetReadingSeqs()) == 0 {
			continue
		}
		flag := "--taken"
		if p.GetFalling() {
			flag = "--taken-falling"
		}
		words = append(words, flag+" "+p.GetMasterId()+"="+strings.Trim(strings.ReplaceAll(fmt.Sprint(p.GetReadingSeqs()), " ", ","), "[]"))
	}
	return strings.Join(words, " ")
}

func (l *checkLead) sayf(format string, args ...any) {
	fmt.Fprintf(l.app.Stderr, format+"\n", args...)
}
