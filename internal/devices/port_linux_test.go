package devices

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
)

// openInChild names the port that a child process of the test opens.
const openInChild = "GAUGED_TEST_OPEN"

func openAsOther(path string) int {
	_, err := openSerial(path, DefaultLine, time.Second)
	fmt.Print(err)
	if told := refusal("/", path, PluggedSerial); told != err.Error() {
		fmt.Printf("; before opening it: %s", told)
	}
	return 0
}

func terminal(t *testing.T) (master *os.File, path string) {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { master.Close(); slave.Close() })
	return master, slave.Name()
}

func mustOpen(t *testing.T, path string, quiet time.Duration) Port {
	t.Helper()
	p, err := openSerial(path, DefaultLine, quiet)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

func TestPortPromises(t *testing.T) {
	master, path := terminal(t)
	master.Write([]byte("old"))
	p := mustOpen(t, path, 20*time.Millisecond)
	buf := make([]byte, 64)
	if n, err := p.Read(buf); n != 0 || !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Errorf("quiet line: %d, %v", n, err)
	}
	master.Write([]byte("new"))
	if n, err := p.Read(buf); string(buf[:n]) != "new" || err != nil {
		t.Errorf("read %q, %v", buf[:n], err)
	}
	done := make(chan error, 1)
	q := p.(*serialPort)
	q.quiet = time.Hour
	go func() { _, err := p.Read(buf); done <- err }()
	p.Close()
	if err := <-done; !errors.Is(err, os.ErrClosed) {
		t.Errorf("a read that waited gave %v after Close", err)
	}
}

func TestHangUpIsAnError(t *testing.T) {
	master, path := terminal(t)
	p := mustOpen(t, path, time.Minute)
	master.Close()
	for range 3 {
		if n, err := p.Read(make([]byte, 64)); n != 0 || !errors.Is(err, errUnplugged) {
			t.Fatalf("read %d, %v", n, err)
		}
	}
	if _, err := p.Write([]byte("?")); !errors.Is(err, errUnplugged) {
		t.Errorf("write gave %v", err)
	}
}

func TestWriteToAPortThatNobodyReads(t *testing.T) {
	_, path := terminal(t)
	p := mustOpen(t, path, time.Minute)
	for range 1000 { // fill what the kernel holds
		if _, err := p.Write(make([]byte, 1024)); errors.Is(err, os.ErrDeadlineExceeded) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
	t.Error("a megabyte was written to a port that nobody reads")
}

func TestPortWorksAboveDescriptor1024(t *testing.T) {
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_NOFILE, &limit); err != nil || limit.Cur < 1200 {
		t.Fatalf("this test needs 1200 descriptors, the limit is %d (%v): raise it with ulimit -n", limit.Cur, err)
	}
	for range 1030 {
		f, err := os.Open(os.DevNull)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
	}
	master, path := terminal(t)
	p := mustOpen(t, path, time.Second)
	master.Write([]byte("x"))
	if n, err := p.Read(make([]byte, 8)); n != 1 || err != nil {
		t.Errorf("read %d, %v", n, err)
	}
}

func TestSecondOpenerIsRefused(t *testing.T) {
	_, path := terminal(t)
	first := mustOpen(t, path, time.Second)
	_, err := openSerial(path, DefaultLine, time.Second)
	comm, _ := os.ReadFile("/proc/self/comm")
	want := fmt.Sprintf("cannot open %s: another program holds the port, process %d (%s) (%v): end that program, or point one of the two at another port",
		path, os.Getpid(), strings.TrimSpace(string(comm)), told(whose(path).message()))
	if err == nil || err.Error() != want || !errors.Is(err, ErrBusy) {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	first.Close()
	mustOpen(t, path, time.Second)
}

func TestMissingPort(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ttyGone")
	_, err := openSerial(path, DefaultLine, time.Second)
	want := "cannot open " + path + `: there is no such port: plug the gauge in, or correct "port" in its definition`
	if err == nil || err.Error() != want || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestNotASerialPort(t *testing.T) {
	_, err := openSerial(os.DevNull, DefaultLine, time.Second)
	want := `cannot open /dev/null: it is not a serial port: correct "port" in the gauge's definition`
	if !errors.Is(err, ErrNotSerial) || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestForbiddenPortText(t *testing.T) {
	cases := []struct {
		ownership ownership
		want      string
	}{
		{
			ownership{"root", "dialout", 0o660, "bench", []string{"bench"}},
			`cannot open /dev/ttyUSB0: permission denied (owner root, group dialout, mode 0660; we are user bench, groups bench): add the user to the group with "usermod -aG dialout bench" and log in again`,
		},
		{
			ownership{"root", "dialout", 0o660, "64445", []string{"gauges", "dialout"}},
			"cannot open /dev/ttyUSB0: permission denied (owner root, group dialout, mode 0660; we are user 64445, groups gauges dialout) although its group may use it: allow the device in the unit that starts the daemon (DeviceAllow), or restart the daemon if the driver came after it",
		},
		{
			ownership{"root", "root", 0o600, "bench", []string{"bench", "dialout"}},
			"cannot open /dev/ttyUSB0: permission denied (owner root, group root, mode 0600; we are user bench, groups bench dialout): let a udev rule give the port to a group of this user, with mode 0660",
		},
	}
	for _, c := range cases {
		err := forbidden("/dev/ttyUSB0", c.ownership)
		if err.Error() != c.want || !errors.Is(err, fs.ErrPermission) {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

// TestForbiddenPort opens a port without permission: as root in a child that
// has given up root, otherwise by taking the permission from ourselves.
func TestForbiddenPort(t *testing.T) {
	_, path := terminal(t)
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if os.Getuid() != 0 {
		if err := os.Chmod(path, 0); err != nil {
			t.Fatal(err)
		}
		_, err := openSerial(path, DefaultLine, time.Second)
		if !errors.Is(err, fs.ErrPermission) || err.Error() != forbidden(path, whose(path)).Error() {
			t.Errorf("got %v", err)
		}
		if told := refusal("/", path, PluggedSerial); told != err.Error() {
			t.Errorf("before opening it: %s", told)
		}
		return
	}
	// The child must be able to read its own program.
	child := filepath.Join("/tmp", fmt.Sprintf("devices-child-%d", os.Getpid()))
	program, err := os.ReadFile("/proc/self/exe")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(child, program, 0o755); err != nil {
		t.Fatal(err)
	}
	defer os.Remove(child)
	cmd := exec.Command(child)
	cmd.Dir = "/"
	cmd.Env = []string{openInChild + "=" + path}
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	got, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	other := whose(path)
	other.user, other.groups = userName(65534), []string{groupName(65534)}
	if want := forbidden(path, other).Error(); string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// sysfs builds a tree like that of Linux: two adapters, one with two ports,
// and a terminal without hardware.
func sysfs(t *testing.T) string {
	t.Helper()
	root := t.TempDir()
	add := func(adapter, number, tty string) {
		usb := filepath.Join(root, "devices", "pci0", "usb1", adapter)
		port := filepath.Join(usb, adapter+":1.0", tty)
		class := filepath.Join(root, "class", "tty", tty)
		for _, dir := range []string{port, class} {
			if err := os.MkdirAll(dir, 0o755); err != nil {
				t.Fatal(err)
			}
		}
		for name, text := range map[string]string{"idVendor": "f055", "serial": number} {
			if err := os.WriteFile(filepath.Join(usb, name), []byte(text+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Symlink(port, filepath.Join(class, "device")); err != nil {
			t.Fatal(err)
		}
	}
	add("1-1", "SN0042", "ttyUSB0")
	add("1-2", "SN0043", "ttyUSB1")
	add("1-2", "SN0043", "ttyUSB2")
	if err := os.MkdirAll(filepath.Join(root, "class", "tty", "tty0"), 0o755); err != nil {
		t.Fatal(err)
	}
	return root
}

func TestFindUSB(t *testing.T) {
	sys := sysfs(t)
	if path, err := findUSB(sys, serialClass, "SN0042"); path != "/dev/ttyUSB0" || err != nil {
		t.Errorf("got %q, %v", path, err)
	}
	_, err := findUSB(sys, serialClass, "SN0043")
	want := `2 ports belong to the USB serial number "SN0043" (/dev/ttyUSB1, /dev/ttyUSB2): name one of them by "port" with its path under /dev/serial/by-path`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if _, err := findUSB(sys, serialClass, "SN0001"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	if _, err := findUSB(filepath.Join(sys, "none"), serialClass, "SN0042"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("without sysfs: %v", err)
	}
	d := serialDialer{usb: "SN0042", sys: sys}
	if !d.Present() {
		t.Error("the adapter is not present")
	}
	if err := os.RemoveAll(filepath.Join(sys, "class", "tty", "ttyUSB0")); err != nil {
		t.Fatal(err)
	}
	if d.Present() {
		t.Error("the adapter is present after it was unplugged")
	}
}

func TestDescriptorsDoNotLeak(t *testing.T) {
	count := func() int {
		runtime.GC()
		fds, err := os.ReadDir("/proc/self/fd")
		if err != nil {
			t.Fatal(err)
		}
		return len(fds)
	}
	_, path := terminal(t)
	held := mustOpen(t, path, time.Second)
	before := count()
	for range 20 {
		openSerial(path, DefaultLine, time.Second)         // busy
		openSerial(os.DevNull, DefaultLine, time.Second)   // no port
		openSerial(path+"-gone", DefaultLine, time.Second) // missing
	}
	if after := count(); after != before {
		t.Errorf("%d descriptors before, %d after ports that could not be opened", before, after)
	}
	held.Close()
}

// TestNameThatMovesOn: a name that leads elsewhere by the time the port is open
// is not taken for the gauge.
func TestNameThatMovesOn(t *testing.T) {
	dir := t.TempDir()
	link, one, other := filepath.Join(dir, "gauge"), filepath.Join(dir, "one"), filepath.Join(dir, "other")
	for _, name := range []string{one, other} {
		if err := os.WriteFile(name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	point := func(to string) {
		t.Helper()
		if err := errors.Join(os.Symlink(to, link+".new"), os.Rename(link+".new", link)); err != nil {
			t.Fatal(err)
		}
	}
	point(one)
	file, err := os.Open(link)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if !leadsTo(link, file) {
		t.Error("the link leads to the file")
	}
	point(other)
	if leadsTo(link, file) {
		t.Error("the link leads to another file")
	}
	if err := os.Remove(link); err != nil {
		t.Fatal(err)
	}
	if leadsTo(link, file) {
		t.Error("the link is gone")
	}
}
