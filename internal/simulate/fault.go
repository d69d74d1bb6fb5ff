package simulate

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Faults is what a simulated gauge does wrong. The zero value does nothing wrong.
type Faults struct {
	Stuck      int          // so many frames show the same place while the spindle moves on
	Missed     gauge.Length // counts lost each time that the spindle is moved
	Preset     gauge.Length // a preset that was left on
	ZeroOff    gauge.Length // how far the zero is off
	Reversed   bool         // it counts backwards
	WrongUnit  bool         // it shows inches as its unit, or millimetres where its unit is inches
	Coarse     bool         // its last digit is always 0 or 5
	Noise      gauge.Length // each frame is off by up to this much more either way
	Hysteresis gauge.Length // difference of a place that is reached from below and from above
	Battery    int          // so many frames of a hundred say that the battery is low
	Lost       int          // so many frames of a hundred are lost
}

// faultSetters set one fault each from the text of a scenario or a command.
func faultSetters(f *Faults, u gauge.Unit) map[string]func(text string) error {
	length := func(to *gauge.Length) func(string) error {
		return func(text string) (err error) {
			*to, err = gauge.ParseLength(text, u)
			return err
		}
	}
	number := func(to *int, most int) func(string) error {
		return func(text string) error {
			n, err := strconv.Atoi(text)
			if err != nil || n < 0 || n > most {
				return gauge.WrongInput("entry.no-whole-number", gauge.Text("text", text), gauge.Count("low", 0), gauge.Count("high", most))
			}
			*to = n
			return nil
		}
	}
	yes := func(to *bool) func(string) error {
		return func(text string) error {
			if text != "yes" && text != "no" {
				return gauge.WrongInput("fault.yes-no", gauge.Text("text", text))
			}
			*to = text == "yes"
			return nil
		}
	}
	return map[string]func(string) error{
		"stuck_spindle": number(&f.Stuck, 100_000), "missed_counts": length(&f.Missed), "preset_left_on": length(&f.Preset),
		"zero_off": length(&f.ZeroOff), "reversed_direction": yes(&f.Reversed), "wrong_unit": yes(&f.WrongUnit),
		"lost_resolution": yes(&f.Coarse), "noise": length(&f.Noise), "hysteresis": length(&f.Hysteresis),
		"low_battery": number(&f.Battery, 100), "lost_frames": number(&f.Lost, 100),
	}
}

// with returns the faults with one of them set.
func (f Faults) with(kind, text string, u gauge.Unit) (Faults, error) {
	setters := faultSetters(&f, u)
	set, known := setters[kind]
	if !known {
		return f, gauge.WrongInput("fault.unknown", gauge.Text("fault", kind), gauge.Texts("known", slices.Sorted(maps.Keys(setters))))
	}
	if err := set(text); err != nil {
		return f, gauge.At(err, "fault.wrong", gauge.Text("fault", kind))
	}
	if f.Noise < 0 || f.Hysteresis < 0 {
		return f, gauge.At(gauge.WrongInput("entry.below-zero", gauge.Text("value", text)), "fault.wrong", gauge.Text("fault", kind))
	}
	return f, nil
}

func readFaults(v shopfile.Value, u gauge.Unit) (f Faults) {
	if !v.Given() || !u.Known() {
		return f
	}
	for _, e := range v.Map().Entries() {
		next, err := f.with(e.Key.Word(), e.Value.Text(), u)
		if err != nil {
			e.Value.Wrong(gauge.Told(err))
			continue
		}
		f = next
	}
	return f
}

// wear is how far the faults of a gauge have come.
type wear struct {
	lost    gauge.Length // counts
	from    gauge.Length // where the spindle was
	rising  bool         // it came from below
	moving  int          // frames during which it has moved
	held    gauge.Length // what it shows while it sticks
	holding int          // frames for which it still sticks
}

// moved notes where the spindle is now. It counts as moved beyond a step of the display.
func (w *wear) moved(to, step gauge.Length) {
	switch by := to - w.from; {
	case by.Abs() < step:
		w.moving = 0
		return
	default:
		w.rising = by > 0
		w.moving++
	}
	w.from = to
}

// sticks replaces what is shown while the spindle sticks: from the second frame of a
// movement on, and again after it has moved for as long.
func (w *wear) sticks(shown gauge.Length, frames int) gauge.Length {
	switch {
	case frames == 0:
		w.holding = 0
		return shown
	case w.holding > 0:
		w.holding--
		w.moving = -frames
		return w.held
	case w.moving == 2:
		w.held, w.holding = shown, frames-1
	}
	return shown
}

// altered is what the gauge makes of a place.
func (p *player) altered(at gauge.Length) gauge.Length {
	f := p.Faults
	at += p.wear.lost + f.Preset + f.ZeroOff
	if half := f.Hysteresis / 2; p.wear.rising {
		at += half
	} else {
		at -= half
	}
	if f.Reversed {
		at = -at
	}
	switch {
	case f.WrongUnit && p.Unit == gauge.Inch:
		at = gauge.Length(math.Round(float64(at) * 25.4))
	case f.WrongUnit:
		at = gauge.Length(math.Round(float64(at) / 25.4))
	}
	if f.Coarse {
		five := 5 * p.step()
		at = gauge.Length(math.Round(float64(at)/float64(five))) * five
	}
	return at
}

// step is that of the display.
func (p *player) step() gauge.Length {
	step := p.Unit.Size()
	for range p.Decimals {
		step /= 10
	}
	return max(step, 1)
}

// writes reports whether the layout can write what the gauge shows at a place.
func (p *player) writes(at gauge.Length) error {
	_, err := p.Layout.Encode(rounded(p.altered(at), p.Unit, p.Decimals), p.Unit, p.Decimals, "")
	return err
}

// fault sets one fault, or ends all of them.
func (p *player) fault(kind, text string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	before := p.Faults
	if kind == "none" {
		p.Faults, p.wear = Faults{}, wear{from: p.wear.from, rising: p.wear.rising}
		return nil
	}
	next, err := before.with(kind, text, p.Unit)
	if err != nil {
		return err
	}
	if next.Battery > 0 && !p.Layout.FlagsBattery(p.Unit) {
		return gauge.WrongInput("fault.no-battery", gauge.Text("layout", p.Layout.Name), gauge.Text("unit", p.Unit.String()))
	}
	p.Faults = next
	if err := p.writes(p.position(time.Now())); err != nil {
		p.Faults = before
		return gauge.At(err, "fault.wrong", gauge.Text("fault", kind))
	}
	return nil
}

// Fault sets one fault of a gauge, such as hysteresis to 0.004; the kind none ends
// all of them.
func (b *Bench) Fault(name, kind, value string) error {
	return b.with(name, func(p *player) error { return p.fault(kind, value) })
}
