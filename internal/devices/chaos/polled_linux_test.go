package chaos_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/devices"
)

// polled frames come when they are asked for.
var polled = &format{
	name: "polled", longest: 24, end: "\r", frame: answerFrame, judge: lines(24, true, readAnswer),
	layout: `layout: polled
title: Asked with a question mark, answers with a signed decimal and the unit
mode: poll
request: "?\r"
answer_within: 500ms
tries: 1
frame: {ends: ["\r", "\n", "\r\n"], longest: 24, pause: 50ms}
match: 'V=(?P<value>[+-]\d{3}\.\d{3});(?P<unit>[a-z]{2})'
units: {mm: mm, in: in}
good:
  - {bytes: "V=+001.234;mm\r", shown: "+001.234", unit: mm, value: "1.234"}
  - {bytes: "V=-001.234;mm\r", shown: "-001.234", unit: mm, value: "-1.234"}
bad:
  - {bytes: "V=1.234;mm\r", reason: layout}
  - {bytes: "V=+001.234;cm\r", reason: unit}
  - {bytes: "V=+001,234;mm\r", reason: comma}
  - {bytes: "V=+001.2", reason: half_frame}
`,
}

func answerFrame(r *rand.Rand) []byte {
	n := r.IntN(1_000_000)
	return fmt.Appendf(nil, "V=%c%03d.%03d;mm\r", "+-"[r.IntN(2)], n/1000, n%1000)
}

func readAnswer(piece string) reading {
	body, ok := strings.CutPrefix(piece, "V=")
	r := readStated(strings.Replace(body, ";", " ", 1))
	r.value.raw = piece
	r.valid = r.valid && ok && strings.Count(body, ";") == 1 && len(piece) == 13
	return r
}

// TestPolled asks gauges whose answers are late, doubled, torn or missing: no
// answer is taken for that to another request.
func TestPolled(t *testing.T) {
	t.Parallel()
	troubles := []func(l *line){
		(*line).answerLate, (*line).answerTwice, (*line).answerNever, (*line).answerHalf,
		(*line).answerAfterNoise, (*line).answerAgain, (*line).unplugWhileAsked,
	}
	var answered, late atomic.Int64
	onLines(t, 4*len(troubles), each(polled), func(l *line, id int) {
		answeredBefore, lateBefore := len(l.want), l.late
		troubles[id%len(troubles)](l)
		l.answerInTime()
		troubles[l.rng.IntN(len(troubles))](l)
		l.answerInTime()
		answered.Add(int64(len(l.want) - answeredBefore))
		late.Add(int64(l.late - lateBefore))
	})
	if late.Load() > answered.Load() {
		t.Errorf("of the answers %d were in time and %d were late", answered.Load(), late.Load())
	}
}

// asking asks the gauge; what became of it is sent once.
func (l *line) asking() <-chan error {
	answer := make(chan error, 1)
	go func() {
		ctx, cancel := context.WithTimeout(context.Background(), within)
		defer cancel()
		answer <- l.ask(ctx)
	}()
	return answer
}

// request waits for the next request on the line.
func (l *line) request() {
	l.must(l.master.SetReadDeadline(time.Now().Add(within)))
	request := make([]byte, 2)
	_, err := io.ReadFull(l.master, request)
	l.must(err)
	if string(request) != "?\r" {
		l.fatalf("the request is %q", request)
	}
}

// asked asks, and returns once the request is on the line.
func (l *line) asked() <-chan error {
	answer := l.asking()
	l.request()
	return answer
}

// reply answers the request that is out. Bytes before and after the answer
// must be rejected, once each. On a busy machine the answer may be late: then
// it must be rejected too.
func (l *line) reply(answer <-chan error, before, after string) {
	frame := l.format.frame(l.rng)
	l.write([]byte(before + string(frame) + after))
	for _, other := range []string{before, after} {
		if other != "" {
			l.refused++
		}
	}
	switch err := <-answer; {
	case err == nil:
		values, _ := l.format.judge(frame, false, true)
		l.want = append(l.want, values...)
	case errors.Is(err, devices.ErrNoAnswer):
		l.refused++
		l.late++
	default:
		l.fatalf("an answer gave %v", err)
	}
	l.settle()
}

// unasked sends what nobody waits for.
func (l *line) unasked(raw []byte) {
	l.write(raw)
	l.refused++
	l.settle()
}

func (l *line) noAnswer(answer <-chan error) {
	if err := <-answer; !errors.Is(err, devices.ErrNoAnswer) {
		l.fatalf("a request without an answer gave %v", err)
	}
}

func (l *line) answerInTime()     { l.reply(l.asked(), "", "") }
func (l *line) answerNever()      { l.noAnswer(l.asked()) }
func (l *line) answerAfterNoise() { l.reply(l.asked(), "\x00\xffV=\r", "") }

// answerTwice sends the answer and another frame at once.
func (l *line) answerTwice() { l.reply(l.asked(), "", string(l.format.frame(l.rng))) }

// answerAgain sends another frame when nothing is asked any more.
func (l *line) answerAgain() {
	l.answerInTime()
	l.unasked(l.format.frame(l.rng))
}

// answerLate answers when the request has been given up and somebody wants
// the next answer already.
func (l *line) answerLate() {
	l.noAnswer(l.asked())
	next := l.asking()
	l.unasked(l.format.frame(l.rng))
	l.request()
	l.reply(next, "", "")
}

// answerHalf tears an answer; its rest comes too late.
func (l *line) answerHalf() {
	answer := l.asked()
	frame := l.format.frame(l.rng)
	cut := 1 + l.rng.IntN(len(frame)-2)
	l.unasked(frame[:cut])
	l.noAnswer(answer)
	l.unasked(frame[cut:])
}

// unplugWhileAsked pulls the plug in an answer. The next port holds the answer
// to the request before.
func (l *line) unplugWhileAsked() {
	answer := l.asked()
	frame := l.format.frame(l.rng)
	l.send(frame[:1+l.rng.IntN(len(frame)-2)])
	l.hangUp()
	l.noAnswer(answer)
	l.plug(func(string) {
		l.write(frame)
		l.arrived()
	})
}
