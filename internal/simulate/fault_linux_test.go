package simulate

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// quiet is a gauge without scatter, whose frames are asked for one by one.
func quiet(t *testing.T, unit, faults string) *player {
	t.Helper()
	gauges, err := scenario(t, "gauges:\n  gap: {layout: value-with-unit, unit: "+unit+", value: 1.000, seed: 3, faults: {"+faults+"}}\n")
	if err != nil {
		t.Fatal(err)
	}
	return newPlayer(t.TempDir(), gauges[0])
}

func frameOf(t *testing.T, p *player, when time.Time) string {
	t.Helper()
	frame, err := p.frame(when)
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(frame))
}

// TestFaults: what a gauge with a fault shows at 1 mm or 1 in, and after it was moved to
// 1.013 and to 0.987.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ unit, faults, want string }{
		{"mm", "", "+001.000 mm|+001.013 mm|+000.987 mm"},
		{"mm", "missed_counts: -0.020", "+001.000 mm|+000.993 mm|+000.947 mm"},
		{"mm", "preset_left_on: 0.050", "+001.050 mm|+001.063 mm|+001.037 mm"},
		{"mm", "zero_off: -0.004", "+000.996 mm|+001.009 mm|+000.983 mm"},
		{"mm", "reversed_direction: yes", "-001.000 mm|-001.013 mm|-000.987 mm"},
		{"mm", "reversed_direction: no", "+001.000 mm|+001.013 mm|+000.987 mm"},
		{"mm", "lost_resolution: yes", "+001.000 mm|+001.015 mm|+000.985 mm"},
		{"mm", "hysteresis: 0.004", "+001.002 mm|+001.015 mm|+000.985 mm"},
		{"mm", "low_battery: 100", "+001.000 mm B|+001.013 mm B|+000.987 mm B"},
		{"mm", "lost_frames: 100", "||"},
		{"mm", "wrong_unit: yes", "+000.039 mm|+000.040 mm|+000.039 mm"},
		{"in", "wrong_unit: yes", "+25.4000 in|+25.7302 in|+25.0698 in"},
	} {
		p := quiet(t, c.unit, c.faults)
		got := []string{frameOf(t, p, time.Now())}
		for _, to := range []string{"1.013", "0.987"} {
			if err := p.set(to); err != nil {
				t.Fatal(err)
			}
			got = append(got, frameOf(t, p, time.Now()))
		}
		if text := strings.Join(got, "|"); text != c.want {
			t.Errorf("%s: %s, want %s", c.faults, text, c.want)
		}
	}
}

// TestStuckSpindle: during a turn it shows the same place for five frames again and again,
// at rest it is like any other.
func TestStuckSpindle(t *testing.T) {
	p := quiet(t, "mm", "stuck_spindle: 5")
	if err := p.begin(turning(p.Value, gauge.MustLength("0.2", gauge.Millimetre))); err != nil {
		t.Fatal(err)
	}
	began, longest, run, before := p.motion.began, 0, 0, ""
	for i := 10; i < 40; i++ { // where a frame is some micrometres from the next
		shown := frameOf(t, p, began.Add(time.Duration(i)*40*time.Millisecond))
		if run++; shown != before {
			run, before = 1, shown
		}
		longest = max(longest, run)
	}
	if longest != 5 {
		t.Errorf("it shows the same for %d frames", longest)
	}
	if p.Faults.Stuck = 0; frameOf(t, p, began.Add(turnTime/2)) != "+001.200 mm" {
		t.Error("it sticks although the fault has ended")
	}
}

// TestFaultNoise: the scatter is that of the fault.
func TestFaultNoise(t *testing.T) {
	p := quiet(t, "mm", "noise: 0.010")
	seen := map[string]bool{}
	for range 200 {
		shown := frameOf(t, p, time.Now())
		seen[shown] = true
		if shown < "+000.990 mm" || shown > "+001.010 mm" {
			t.Errorf("it shows %s", shown)
		}
	}
	if len(seen) < 15 {
		t.Errorf("it shows %d different values", len(seen))
	}
}

// TestFaultCommands: faults come and go by commands, and wrong ones change nothing.
func TestFaultCommands(t *testing.T) {
	b, port := start(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1.000}\n")
	for _, line := range []string{"fault gap zero_off 0.020", "press gap", "fault gap reversed_direction yes", "press gap", "fault gap none", "press gap"} {
		if err := b.Do(line); err != nil {
			t.Fatal(err)
		}
	}
	if got := strings.Join(read(t, port, 3, "\r\n"), "|"); got != "+001.020 mm|-001.020 mm|+001.000 mm" {
		t.Errorf("got %s", got)
	}
	const all = "hysteresis, lost_frames, lost_resolution, low_battery, missed_counts, noise, preset_left_on, reversed_direction, stuck_spindle, wrong_unit, zero_off"
	for line, want := range map[string]string{
		"fault gap rust 1":                `"rust" is no fault; the faults are ` + all,
		"fault gap zero_off x":            `zero_off: "x" is not a length: it is not a plain decimal number`,
		"fault gap noise -0.001":          `noise: -0.001 must not be less than zero`,
		"fault gap low_battery 101":       `low_battery: "101" is not a whole number from 0 to 100`,
		"fault gap wrong_unit maybe":      `wrong_unit: "maybe" is neither yes nor no`,
		"fault gap preset_left_on 1000":   `preset_left_on: layout value-with-unit cannot write 1001.000 mm: add a good example of that shape`,
		"fault dial none":                 `there is no gauge "dial": there are gap`,
		"fault gap":                       "\"fault gap\" is not a command; the commands are\n" + strings.Join(forms(), "\n"),
		"fault gap stuck_spindle 1 frame": "\"fault gap stuck_spindle 1 frame\" is not a command; the commands are\n" + strings.Join(forms(), "\n"),
	} {
		if err := b.Do(line); err == nil || words.In(words.English).Error(err) != want {
			t.Errorf("%s: got %v, want %s", line, err, want)
		}
	}
	if err := b.Press("gap"); err != nil {
		t.Fatal(err)
	}
	if got := read(t, port, 1, "\r\n"); got[0] != "+001.000 mm" {
		t.Errorf("after refused faults it shows %s", got[0])
	}
	for faults, want := range map[string]string{
		"rust: 1":           `s:2:69: "rust" is no fault; the faults are ` + all,
		"stuck_spindle: -1": `s:2:78: stuck_spindle: "-1" is not a whole number from 0 to 100000`,
		"low_battery: 5":    `s:2:62: low_battery: layout signed-line has no good example in mm with the status low battery`,
	} {
		if _, err := scenario(t, fmt.Sprintf("gauges:\n  gap: {layout: signed-line, unit: mm, value: 1.000, faults: {%s}}\n", faults)); err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", faults, err, want)
		}
	}
}
