//go:build usb

package usbtest

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestServiceUnderSystemd installs the unit as docs/setting-up.md says, on a machine whose
// first process is systemd, and holds what the unit promises against what the kernel does.
func TestServiceUnderSystemd(t *testing.T) {
	booted := time.Now()
	m := boot(t, "service.cpio")
	s := m.shell()
	t.Logf("booted in %s", time.Since(booted).Round(time.Second))

	// Enabled before the first adapter was ever plugged in: its driver is not loaded yet.
	s.do("systemd-sysusers")
	s.do("systemctl enable --now gauged.service gauged-backup.timer") // comes back when the daemon says that it is ready
	s.expect("systemctl is-active gauged.service gauged-backup.timer", "active\nactive")
	t.Logf("exposure: %s", s.exposure())

	// The socket is for the members of its group.
	if out := s.do("su -s /bin/sh -c 'gaugectl gauges' member"); !strings.Contains(out, "left") {
		t.Errorf("a member of the group sees:\n%s", out)
	}
	if out, ok := s.try("su -s /bin/sh -c 'gaugectl gauges' other"); ok || !strings.Contains(out, "may not use the socket") {
		t.Errorf("somebody outside of the group sees:\n%s", out)
	}
	s.expect("ls -ld /var/lib/private/gauged | cut -c 1-10", "drwx------")

	s.bounds()

	// A gauge that is plugged in is read; what is no gauge is not opened.
	m.plugAdapter("SN0042")
	s.await("gaugectl gauges | grep -q live")
	m.send("SN0042", "+012.345 mm\r\n")
	s.await("gaugectl history readings | grep -q 12.345")
	const inside = "echo $$ >/sys/fs/cgroup/system.slice/gauged.service/cgroup.procs; "
	if out, ok := s.try("sh -c '" + inside + "head -c 1 /dev/kmsg'"); ok || !strings.Contains(out, "not permitted") {
		t.Errorf("the devices of the service are not bounded: %s", out)
	}
	s.do("sh -c '" + inside + ": </dev/ttyUSB0'")

	s.survives(m)

	// A reload puts in force what is good, and a bad file changes nothing.
	s.do("sed -i 's/usb: SN0042/title: Renamed, usb: SN0042/' /etc/gauged/gauged.yaml && systemctl reload gauged")
	s.await("gaugectl gauges | grep -q Renamed")
	s.do("cp /etc/gauged/gauged.yaml /tmp/good.yaml && sed -i 's/title: Renamed/titel: Slip/' /etc/gauged/gauged.yaml && systemctl reload gauged")
	s.await("journalctl --unit gauged | grep -q 'nothing was put in force'")
	s.expect("systemctl is-active gauged; gaugectl gauges | grep -c Renamed", "active\n1")
	s.do("cp /tmp/good.yaml /etc/gauged/gauged.yaml")

	// A copy is made by the timer's service, and verifies.
	s.do("systemctl start gauged-backup.service")
	if out := s.do("gaugectl history verify /var/lib/gauged/backup/history-*.db"); !strings.Contains(out, "are what was stored") {
		t.Errorf("the copy: %s", out)
	}
	if next := s.do("systemctl show --property NextElapseUSecRealtime --value gauged-backup.timer"); next == "" {
		t.Error("the timer has no next time")
	}

	// A stop is obeyed in time, with somebody listening; a bad configuration is not tried again.
	begun := time.Now()
	s.do("systemctl stop gauged")
	t.Logf("stopped in %s", time.Since(begun).Round(100*time.Millisecond))
	s.expect("systemctl show --property Result --property ExecMainStatus gauged", "Result=success\nExecMainStatus=0")
	s.do("sed -i 's/title: Renamed/titel: Slip/' /etc/gauged/gauged.yaml")
	if out, ok := s.try("systemctl start gauged"); ok {
		t.Errorf("it starts with a bad configuration: %s", out)
	}
	s.expect("systemctl show --property ActiveState --property ExecMainStatus --property NRestarts gauged", "NRestarts=0\nExecMainStatus=78\nActiveState=failed")
}

func (s *shell) expect(order, want string) {
	s.t.Helper()
	if out, _ := s.try(order); out != want {
		s.t.Errorf("%s:\n%s\nwant:\n%s", order, out, want)
	}
}

// exposure is what systemd says of the service as it runs.
func (s *shell) exposure() string {
	s.t.Helper()
	out := s.do("systemd-analyze security --no-pager gauged.service")
	m := regexp.MustCompile(`Overall exposure level for gauged\.service: ([0-9.]+)`).FindStringSubmatch(out)
	if m == nil {
		s.t.Fatal(out)
	}
	if exposure, err := strconv.ParseFloat(m[1], 64); err != nil || exposure >= 2 {
		s.t.Errorf("exposed by %s, less than 2.0 is wanted", m[1])
	}
	return m[1]
}

// bounds asks the kernel what the running daemon can take.
func (s *shell) bounds() {
	s.t.Helper()
	s.expect("cd /sys/fs/cgroup/system.slice/gauged.service; cat memory.high memory.max pids.max",
		fmt.Sprintf("%d\n%d\n256", 384<<20, 512<<20))
	const process = "/proc/$(systemctl show --property MainPID --value gauged)/"
	s.expect("grep 'open files' "+process+"limits | tr -s ' '", "Max open files 1024 1024 files ")
	s.expect("grep -E '^(CapEff|CapBnd|NoNewPrivs|Seccomp):' "+process+"status | tr -s '\\t' ' '",
		"CapEff: 0000000000000000\nCapBnd: 0000000000000000\nNoNewPrivs: 1\nSeccomp: 2")
}

// survives kills the daemon while readings come in: systemd starts it again, the gauge is
// read again, and each reading that somebody saw is stored once.
func (s *shell) survives(m *machine) {
	s.t.Helper()
	s.do("(gaugectl watch --output json >/tmp/seen 2>/dev/null &)")
	s.await("[ -s /tmp/seen ]")
	stop, sent := make(chan struct{}), make(chan int)
	go func() {
		n := 0
		for ; ; n++ {
			select {
			case <-stop:
				sent <- n
				return
			case <-time.After(5 * time.Millisecond): // as fast as the gauge goes
				_, _ = fmt.Fprintf(m.lines["SN0042"], "+%03d.500 mm\r\n", n%900)
			}
		}
	}()
	s.do(`until [ $(grep -c '"reading"' /tmp/seen) -ge 40 ]; do sleep 0.05; done; kill -9 $(systemctl show --property MainPID --value gauged)`)
	close(stop)
	all := <-sent
	s.await(`[ "$(systemctl show --property NRestarts --value gauged)" = 1 ] && systemctl is-active gauged`)
	s.await("gaugectl gauges | grep -q live")
	m.send("SN0042", "+999.500 mm\r\n")
	s.await("gaugectl history readings | grep -q 999.5")
	stored := map[string]int{}
	for line := range strings.Lines(s.do("gaugectl history readings --output json")) {
		stored[s.reading(line)]++
	}
	seen := 0
	for line := range strings.Lines(s.do(`grep '"reading"' /tmp/seen`)) {
		seen++
		if r := s.reading(line); stored[r] != 1 {
			s.t.Errorf("%s was seen and is stored %d times", r, stored[r])
		}
	}
	for r, times := range stored {
		if times > 1 {
			s.t.Errorf("%s is stored %d times", r, times)
		}
	}
	s.t.Logf("killed when %d readings had been sent and %d were seen, %d are stored with those after it", all, seen, len(stored))
	s.do("gaugectl history verify")
	s.do("(gaugectl watch >/dev/null 2>&1 &)") // somebody listens again
}

// reading is what a line of JSON says of a reading, in one word.
func (s *shell) reading(line string) string {
	s.t.Helper()
	type reading struct {
		Number string
		Value  struct{ Text string }
	}
	var r struct {
		reading
		Reading *reading
	}
	if err := json.Unmarshal([]byte(line), &r); err != nil {
		s.t.Fatalf("%v: %s", err, line)
	}
	if r.Reading != nil {
		r.reading = *r.Reading
	}
	return r.Number + ":" + r.Value.Text
}
