package gauged_test

import (
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// mostExposed is how exposed the service may be, by the measure of systemd-analyze: 0 is
// nothing, 10 everything.
const mostExposed = 2.0

// TestUnitIsClosed asks systemd-analyze how exposed the service is. It must be installed:
// see tools/setup.sh.
func TestUnitIsClosed(t *testing.T) {
	out, err := exec.Command("systemd-analyze", "security", "--offline=true", "--no-pager", "deploy/gauged.service").CombinedOutput()
	m := regexp.MustCompile(`Overall exposure level for gauged\.service: ([0-9.]+)`).FindSubmatch(out)
	if m == nil {
		t.Fatalf("%v: %s", err, out)
	}
	if exposure, err := strconv.ParseFloat(string(m[1]), 64); err != nil || exposure >= mostExposed {
		t.Errorf("exposed by %s, less than %.1f is wanted:\n%s", m[1], mostExposed, out)
	}
}

// TestUnitIsBounded: what the service takes of the machine is bounded, and a group that
// people can be members of reaches its socket.
func TestUnitIsBounded(t *testing.T) {
	unit := map[string]string{}
	for line := range strings.Lines(readFile(t, "deploy/gauged.service")) {
		if key, value, ok := strings.Cut(strings.TrimSpace(line), "="); ok && !strings.HasPrefix(line, "#") {
			unit[key] = value
		}
	}
	for _, key := range []string{"MemoryMax", "TasksMax", "LimitNOFILE", "TimeoutStopSec", "WatchdogSec"} {
		if value := unit[key]; value == "" || strings.Contains(value, "infinity") {
			t.Errorf("%s=%s bounds nothing", key, value)
		}
	}
	group := unit["Group"]
	if group == "" || !strings.Contains(readFile(t, "deploy/gauged.sysusers"), "\ng "+group+" ") {
		t.Errorf("no group %q is made that people can be members of", group)
	}
	if unit["RuntimeDirectoryMode"] != "0750" || unit["ExecReload"] != "/bin/kill -HUP $MAINPID" {
		t.Errorf("the directory of the socket has the mode %s, and a reload is %s", unit["RuntimeDirectoryMode"], unit["ExecReload"])
	}
}
