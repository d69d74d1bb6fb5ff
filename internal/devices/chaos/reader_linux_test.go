package chaos_test

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// asOtherReader names the port that a child process of the test opens.
const asOtherReader = "GAUGED_CHAOS_PORT"

// otherReader is another program that opens the port. It does what it is told
// by the lines of its input: "read N" takes N bytes away from whoever else
// reads, "lock" takes the port's lock, "unlock" lets go of it.
func otherReader(orders io.Reader, reports io.Writer) int {
	port, err := os.OpenFile(os.Getenv(asOtherReader), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		fmt.Fprintln(reports, err)
		return 1
	}
	fmt.Fprintln(reports, "open")
	scanner := bufio.NewScanner(orders)
	for scanner.Scan() {
		var count int
		switch order := scanner.Text(); order {
		case "lock":
			err = syscall.Flock(int(port.Fd()), syscall.LOCK_EX)
		case "unlock":
			err = syscall.Flock(int(port.Fd()), syscall.LOCK_UN)
		default:
			_, err = fmt.Sscanf(order, "read %d", &count)
		}
		raw := make([]byte, count)
		if err == nil {
			_, err = io.ReadFull(port, raw)
		}
		if err != nil {
			fmt.Fprintln(reports, err)
			return 1
		}
		fmt.Fprintln(reports, hex.EncodeToString(raw))
	}
	return 0
}

// program is the other program as its parent sees it.
type program struct {
	cmd     *exec.Cmd
	orders  io.WriteCloser
	reports *bufio.Scanner
}

func (l *line) startProgram(port string) *program {
	cmd := exec.Command("/proc/self/exe")
	cmd.Env = append(os.Environ(), asOtherReader+"="+port)
	orders, err := cmd.StdinPipe()
	l.must(err)
	reports, err := cmd.StdoutPipe()
	l.must(err)
	l.must(cmd.Start())
	p := &program{cmd, orders, bufio.NewScanner(reports)}
	if said := p.hear(); said != "open" {
		l.fatalf("the other program says %q", said)
	}
	return p
}

// hear returns the next report. A program that has none for too long is ended.
func (p *program) hear() string {
	late := time.AfterFunc(within, func() { p.cmd.Process.Kill() })
	defer late.Stop()
	if !p.reports.Scan() {
		return "nothing more"
	}
	return p.reports.Text()
}

func (p *program) tell(order string) string {
	if _, err := fmt.Fprintln(p.orders, order); err != nil {
		return err.Error()
	}
	return p.hear()
}

// end ends the program and waits for it.
func (p *program) end() error {
	p.orders.Close()
	return p.cmd.Wait()
}

// TestOtherReader lets another process that does not ask for the lock read
// bytes away: what it tears is rejected, and the frames around it are not.
func TestOtherReader(t *testing.T) {
	t.Parallel()
	onLines(t, 6, each(patient, bare), func(l *line, _ int) {
		var p *program
		l.hangUp()
		l.plug(func(port string) { p = l.startProgram(port) })
		defer p.end()
		for range 2 {
			l.theft(func(count int) []byte {
				raw, err := hex.DecodeString(p.tell(fmt.Sprintf("read %d", count)))
				l.must(err)
				return raw
			})
		}
		l.hangUp()
		l.must(p.end())
		l.plug(nil)
	})
}

// theft sends frames of which some bytes are read by another. While the sink
// is busy and as much is read ahead as may be, what follows waits in the kernel:
// so what is stolen is known to the byte.
func (l *line) theft(steal func(count int) []byte) {
	l.say(l.format.frame(l.rng))
	l.settle()
	l.shut()
	l.send(l.format.frame(l.rng))
	l.must(l.await("the sink being busy", func() bool { return l.waiting }))
	follow := l.format.frame(l.rng)
	for l.write(follow); l.isReadWithin(500 * time.Millisecond); l.write(follow) {
		l.stretch = append(l.stretch, follow...)
		follow = l.format.frame(l.rng)
	}
	more := l.format.frames(l.rng, 2)
	l.write(more)
	follow = append(follow, more...)
	stolen := steal(1 + l.rng.IntN(len(follow)-1))
	// On a busy machine the supervisor may have read some of it late, before the thief.
	before, after, found := bytes.Cut(follow, stolen)
	if !found {
		l.fatalf("%q was stolen from %q", stolen, follow)
	}
	l.stretch = append(append(l.stretch, before...), after...)
	l.release()
	l.say(l.format.frame(l.rng))
}

// theftWithin is theft by this process, which the kernel does not tell apart.
func (l *line) theftWithin() {
	l.theft(func(count int) []byte {
		raw := make([]byte, count)
		for got := 0; got < count; {
			l.arrived()
			n, err := l.probe.Read(raw[got:])
			l.must(err)
			got += n
		}
		return raw
	})
}

// TestOtherHoldsTheLock: a program that was there first is named, and the line
// is up again once it lets go.
func TestOtherHoldsTheLock(t *testing.T) {
	t.Parallel()
	onLines(t, 6, each(patient, bits), func(l *line, id int) {
		l.say(l.format.frame(l.rng))
		l.hangUp()
		l.makePort()
		p := l.startProgram(l.probe.Name())
		defer p.end()
		if said := p.tell("lock"); said != "" {
			l.fatalf("the other program says %q", said)
		}
		l.must(os.Symlink(l.probe.Name(), l.gauge.Port))
		name := fmt.Sprintf("process %d (", p.cmd.Process.Pid)
		l.must(l.await("the state failed that names the program", func() bool {
			return l.state.State == gauge.StateFailed && strings.Contains(words.In(words.English).Tell(l.state.Reason), name)
		}))
		l.write(l.format.frame(l.rng)) // nobody reads it: stale once the port is open
		l.arrived()
		if id%2 == 0 {
			p.tell("unlock")
		} else {
			l.must(p.end())
		}
		l.opens()
		l.say(l.format.frame(l.rng))
		l.say(l.format.frame(l.rng))
	})
}
