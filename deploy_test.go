package gauged_test

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestUdevRules: the rules come after those that they need, and give away
// nothing but serial ports of USB adapters.
func TestUdevRules(t *testing.T) {
	files := glob(t, "deploy/*.rules")
	if len(files) != 1 || filepath.Base(files[0]) <= "60-serial.rules" {
		t.Fatalf("%v: one file is expected, which sorts after 60-serial.rules", files)
	}
	given := regexp.MustCompile(`^(GROUP="dialout"|MODE="0660"|SYMLINK\+="gauges/\$env\{ID_SERIAL_SHORT\}")$`)
	match := regexp.MustCompile(`^[A-Z]+(\{[A-Z_]+\})?=="[^"]+"$`)
	rules, examples := 0, 0
	for line := range strings.Lines(readFile(t, files[0])) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "#SUBSYSTEM") {
			examples++
		}
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		rules++
		if !strings.HasPrefix(line, `SUBSYSTEM=="tty", ENV{ID_BUS}=="usb", `) {
			t.Errorf("the rule is not for serial ports of USB adapters alone: %s", line)
		}
		for part := range strings.SplitSeq(line, ", ") {
			if !match.MatchString(part) && !given.MatchString(part) {
				t.Errorf("%s is not expected in: %s", part, line)
			}
		}
	}
	if rules != 2 || examples != 1 {
		t.Errorf("%d rules and %d examples, want 2 and 1", rules, examples)
	}
}
