package gauged_test

import (
	"regexp"
	"strings"
	"testing"
)

// TestBackupUnit: the timer starts a service of its name, which has the running daemon
// write a copy into a directory that the daemon's own unit makes.
func TestBackupUnit(t *testing.T) {
	timer, service, daemon := readFile(t, "deploy/gauged-backup.timer"), readFile(t, "deploy/gauged-backup.service"), readFile(t, "deploy/gauged.service")
	for _, line := range []string{"OnCalendar=daily", "Persistent=yes", "WantedBy=timers.target"} {
		if !strings.Contains(timer, "\n"+line+"\n") {
			t.Errorf("the timer has no %s", line)
		}
	}
	m := regexp.MustCompile(`(?m)^ExecStart=/usr/bin/gaugectl --timeout 1h history backup /var/lib/(\S+)/$`).FindStringSubmatch(service)
	if m == nil || !strings.Contains(service, "\nType=oneshot\n") {
		t.Fatalf("the service makes no copy:\n%s", service)
	}
	made := regexp.MustCompile(`(?m)^StateDirectory=(.*)$`).FindStringSubmatch(daemon)
	if made == nil || !strings.Contains(" "+made[1]+" ", " "+m[1]+" ") {
		t.Errorf("the copy goes to %s, the daemon's unit makes %v", m[1], made)
	}
	if !strings.Contains(readFile(t, "docs/history.md"), "systemctl enable --now gauged-backup.timer") {
		t.Error("docs/history.md does not say how to enable the timer")
	}
}

// TestExportUnit: the timer starts a service of its name, which runs as the daemon's user and
// writes to a directory that it makes.
func TestExportUnit(t *testing.T) {
	timer, service := readFile(t, "deploy/gauged-export.timer"), readFile(t, "deploy/gauged-export.service")
	for text, lines := range map[string][]string{
		timer:   {"OnCalendar=hourly", "Persistent=yes", "WantedBy=timers.target"},
		service: {"Type=oneshot", "User=gauged", "StateDirectory=gauged/export", "ExecStart=/usr/bin/gaugectl --timeout 1m export readings --folder /var/lib/gauged/export --form csv"},
	} {
		for _, line := range lines {
			if !strings.Contains(text, "\n"+line+"\n") {
				t.Errorf("there is no %s", line)
			}
		}
	}
	if !strings.Contains(readFile(t, "docs/files.md"), "systemctl enable --now gauged-export.timer") {
		t.Error("docs/files.md does not say how to enable the timer")
	}
}
