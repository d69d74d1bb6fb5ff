package simulate

import (
	"encoding/hex"
	"errors"
	"maps"
	"slices"
	"strings"
	"sync"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Commands is what Bench.Do understands, for a help text.
const Commands = `  set NAME VALUE           change what the gauge measures, in its unit
  rock NAME FROM TO TIMES  push a shaft under it from stop to stop and back
  turn NAME RUNOUT         turn a shaft under it once
  press NAME               press its data button: one frame
  unplug NAME              pull its plug
  plug NAME                put it in again
  send NAME HEX            send these bytes
  fault NAME KIND VALUE    let it fail, see below
  fault NAME none          end all its faults
  quit                     end

Kinds of faults:
  stuck_spindle, lost_frames, low_battery             FRAMES, PERCENT and PERCENT
  missed_counts, preset_left_on, zero_off             LENGTH
  noise, hysteresis                                   LENGTH
  reversed_direction, wrong_unit, lost_resolution     yes or no`

// ErrQuit is what Bench.Do returns for quit.
var ErrQuit = errors.New("quit")

// Bench is a set of simulated gauges in a directory. Its methods may be called
// from several goroutines.
type Bench struct {
	mu      sync.Mutex // one command at a time
	players map[string]*player
}

// Start plugs all gauges in. Each is reached through the link DIR/NAME.
func Start(dir string, gauges []Gauge) (*Bench, error) {
	b := &Bench{players: map[string]*player{}}
	for _, g := range gauges {
		p := newPlayer(dir, g)
		if err := p.plug(); err != nil {
			b.Close()
			return nil, err
		}
		b.players[g.Name] = p
	}
	return b, nil
}

// Close unplugs all gauges and waits until they have stopped.
func (b *Bench) Close() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	var errs []error
	for _, p := range b.players {
		if p.stop != nil {
			errs = append(errs, p.unplug())
		}
	}
	return errors.Join(errs...)
}

// Set changes what a gauge measures: a decimal in the gauge's unit.
func (b *Bench) Set(name, value string) error {
	return b.with(name, func(p *player) error { return p.set(value) })
}

// Press sends one frame, as the gauge's data button does.
func (b *Bench) Press(name string) error { return b.with(name, (*player).press) }

// Unplug pulls a gauge's plug.
func (b *Bench) Unplug(name string) error { return b.with(name, (*player).unplug) }

// Plug puts a gauge in again; its link leads to a new port.
func (b *Bench) Plug(name string) error { return b.with(name, (*player).plug) }

// Send sends raw bytes from a gauge.
func (b *Bench) Send(name string, raw []byte) error {
	return b.with(name, func(p *player) error {
		_, err := p.line.Write(raw)
		return err
	})
}

// Line returns the line of a gauge, nil when there is no such gauge.
func (b *Bench) Line(name string) *Line {
	if p := b.players[name]; p != nil {
		return p.line
	}
	return nil
}

func (b *Bench) with(name string, do func(*player) error) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	p, found := b.players[name]
	if !found {
		return gauge.NotFound("refusal.gauge.missing", gauge.Text("gauge", name), gauge.Others("others", name, slices.Collect(maps.Keys(b.players))))
	}
	return do(p)
}

// Do carries out one line of Commands; an empty line does nothing.
func (b *Bench) Do(line string) error {
	words := strings.Fields(line)
	switch {
	case len(words) == 0:
		return nil
	case len(words) == 1 && words[0] == "quit":
		return ErrQuit
	case len(words) == 2 && words[0] == "press":
		return b.Press(words[1])
	case len(words) == 2 && words[0] == "unplug":
		return b.Unplug(words[1])
	case len(words) == 2 && words[0] == "plug":
		return b.Plug(words[1])
	case len(words) == 3 && words[0] == "set":
		return b.Set(words[1], words[2])
	case len(words) == 5 && words[0] == "rock":
		return b.Rock(words[1], words[2], words[3], words[4])
	case len(words) == 3 && words[0] == "turn":
		return b.Turn(words[1], words[2])
	case len(words) == 4 && words[0] == "fault":
		return b.Fault(words[1], words[2], words[3])
	case len(words) == 3 && words[0] == "fault" && words[2] == "none":
		return b.Fault(words[1], words[2], "")
	case len(words) == 3 && words[0] == "send":
		raw, err := hex.DecodeString(words[2])
		if err != nil {
			return gauge.WrongInput("simulate.no-hex", shopfile.Quoted("text", words[2]))
		}
		return b.Send(words[1], raw)
	}
	return gauge.WrongInput("simulate.no-command", shopfile.Quoted("line", line), gauge.Texts("forms", forms()))
}

// forms are the commands as they are written, out of Commands.
func forms() (all []string) {
	for line := range strings.Lines(Commands) {
		form, _, _ := strings.Cut(strings.TrimSpace(line), "  ")
		if form == "" {
			break
		}
		all = append(all, form)
	}
	return all
}
