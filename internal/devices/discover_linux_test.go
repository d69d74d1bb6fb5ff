package devices

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/sys/unix"
)

// machine builds the file system of an invented machine. A line is a path and
// the content of the file, or -> and where a link leads.
func machine(t *testing.T, lines string) (root string) {
	t.Helper()
	root = t.TempDir()
	for line := range strings.Lines(lines) {
		name, content, _ := strings.Cut(strings.TrimSpace(line), " ")
		if name == "" {
			continue
		}
		path := filepath.Join(root, name)
		err := os.MkdirAll(filepath.Dir(path), 0o755)
		if target, link := strings.CutPrefix(content, "-> "); link {
			err = errors.Join(err, os.Symlink(target, path))
		} else {
			err = errors.Join(err, os.WriteFile(path, []byte(content+"\n"), 0o600))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return root
}

// twoAlike are two adapters that share a serial number, one with a number of its
// own, and one without, behind a hub and a controller that have numbers.
const twoAlike = `
	sys/devices/usb1/idVendor f055
	sys/devices/usb1/serial 0000:00:14.0
	sys/devices/usb1/1-1/idVendor f055
	sys/devices/usb1/1-1/serial 0001
	sys/devices/usb1/1-1/1-1:1.0/ttyUSB10/port_number 0
	sys/devices/usb1/1-2/idVendor f055
	sys/devices/usb1/1-2/serial HUB7
	sys/devices/usb1/1-2/1-2.1/idVendor f055
	sys/devices/usb1/1-2/1-2.1/serial 0001
	sys/devices/usb1/1-2/1-2.1/1-2.1:1.0/ttyUSB2/port_number 0
	sys/devices/usb1/1-2/1-2.2/idVendor f055
	sys/devices/usb1/1-2/1-2.2/1-2.2:1.0/ttyUSB3/port_number 0
	sys/devices/usb1/1-3/idVendor f055
	sys/devices/usb1/1-3/idProduct 0102
	sys/devices/usb1/1-3/product Adapter
	sys/devices/usb1/1-3/serial SN0042
	sys/devices/usb1/1-3/1-3:1.0/cdc a
	sys/class/tty/ttyUSB10/device -> ../../../devices/usb1/1-1/1-1:1.0/ttyUSB10
	sys/class/tty/ttyUSB2/device -> ../../../devices/usb1/1-2/1-2.1/1-2.1:1.0/ttyUSB2
	sys/class/tty/ttyUSB3/device -> ../../../devices/usb1/1-2/1-2.2/1-2.2:1.0/ttyUSB3
	sys/class/tty/ttyACM0/device -> ../../../devices/usb1/1-3/1-3:1.0
	sys/devices/platform/serial8250/name uart
	sys/class/tty/ttyS0/device -> ../../../devices/platform/serial8250
	sys/class/tty/ttyS0/type 4
	sys/class/tty/ttyS1/device -> ../../../devices/platform/serial8250
	sys/class/tty/ttyS1/type 0
	sys/class/tty/tty1/active tty1
	sys/class/input/event0/device/capabilities/key 10000000
	dev/ttyUSB10 a
	dev/ttyUSB2 a
	dev/ttyUSB3 a
	dev/ttyACM0 a
	dev/serial/by-path/path-1-1 -> ../../ttyUSB10
	dev/serial/by-path/path-1-2.1 -> ../../ttyUSB2
	dev/serial/by-id/usb-0001 -> ../../ttyUSB2
`

func TestDiscover(t *testing.T) {
	l, err := Discover(machine(t, twoAlike))
	if err != nil {
		t.Fatal(err)
	}
	usb := func(serial, port string) *USBDevice { return &USBDevice{Serial: serial, Vendor: "f055", Port: port} }
	adapter := usb("SN0042", "1-3")
	adapter.Product, adapter.Model = "Adapter", "0102"
	want := []Plugged{
		{Path: "/dev/ttyACM0", USB: adapter, Place: Place{Key: "usb", Value: "SN0042"}},
		{
			Path: "/dev/ttyS0", Place: Place{Key: "port", Value: "/dev/ttyS0"},
			Refused: "cannot open /dev/ttyS0: the kernel has the device, but there is no file for it",
		},
		{
			Path: "/dev/ttyUSB2", USB: usb("0001", "1-2.1"), Links: []string{"/dev/serial/by-id/usb-0001", "/dev/serial/by-path/path-1-2.1"},
			Place: Place{Key: "port", Value: "/dev/serial/by-path/path-1-2.1"},
		},
		{Path: "/dev/ttyUSB3", USB: usb("", "1-2.2"), Place: Place{Key: "port", Value: "/dev/ttyUSB3", Renumbered: true}},
		{
			Path: "/dev/ttyUSB10", USB: usb("0001", "1-1"), Links: []string{"/dev/serial/by-path/path-1-1"},
			Place: Place{Key: "port", Value: "/dev/serial/by-path/path-1-1"},
		},
	}
	for i := range want {
		p := &want[i]
		p.Kind, p.Gauges, p.Holders, p.Links = PluggedSerial, []string{}, []Process{}, append([]string{}, p.Links...)
	}
	if diff := cmp.Diff(want, l.Ports); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if empty, err := Discover(t.TempDir()); err != nil || len(empty.Ports) != 0 {
		t.Errorf("without sysfs: %v, %v", empty, err)
	}
}

func TestAssign(t *testing.T) {
	root := machine(t, twoAlike)
	l, err := Discover(root)
	if err != nil {
		t.Fatal(err)
	}
	l.Assign(root, []Gauge{
		{ID: "number", USB: "SN0042"},
		{ID: "alike", USB: "0001"},
		{ID: "link", Port: "/dev/serial/by-id/usb-0001"},
		{ID: "path", Port: "/dev/ttyUSB3"},
		{ID: "unplugged", Port: "/dev/ttyUSB7"},
		{ID: "away", TCP: "127.0.0.1:4001"},
		{ID: "fed", Outside: true},
		{ID: "hub", USB: "HUB7"},
		{ID: "typing", Keyboard: "KB1"},
	})
	got := map[string][]string{}
	for _, p := range l.Ports {
		if len(p.Gauges) > 0 {
			got[p.Path] = p.Gauges
		}
	}
	if diff := cmp.Diff(map[string][]string{"/dev/ttyACM0": {"number"}, "/dev/ttyUSB2": {"link"}, "/dev/ttyUSB3": {"path"}}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	absent := []AbsentGauge{
		{"alike", `2 ports belong to the USB serial number "0001" (/dev/ttyUSB10, /dev/ttyUSB2): name one of them by "port" with its path under /dev/serial/by-path`},
		{"unplugged", "there is no /dev/ttyUSB7: plug the gauge in, or correct its definition"},
		{"hub", `no USB adapter has the serial number "HUB7": file does not exist`},
		{"typing", `no USB keyboard has the serial number "KB1": file does not exist`},
	}
	if diff := cmp.Diff(absent, l.Absent); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestHolders: we hold a pseudo-terminal ourselves.
func TestHolders(t *testing.T) {
	_, path := terminal(t)
	mustOpen(t, path, time.Second)
	comm, err := os.ReadFile("/proc/self/comm")
	if err != nil {
		t.Fatal(err)
	}
	self := Process{os.Getpid(), strings.TrimSpace(string(comm))}
	held, _ := holders("/", path, os.DevNull+"-none")
	if !slices.Equal(held[path], []Process{self}) || len(held) != 1 {
		t.Errorf("got %v, want %v alone", held, self)
	}
}

// TestHolderOfALock: whose open files we may not see is still seen by its lock.
func TestHolderOfALock(t *testing.T) {
	root := machine(t, "dev/ttyUSB0 a\nproc/812/comm gauged\nproc/813/comm other\nproc/814/comm other\nproc/self/comm me\n")
	info, err := os.Stat(filepath.Join(root, "dev/ttyUSB0"))
	if err != nil {
		t.Fatal(err)
	}
	file := info.Sys().(*syscall.Stat_t)
	device := fmt.Sprintf("%02x:%02x", unix.Major(uint64(file.Dev)), unix.Minor(uint64(file.Dev)))
	locks := fmt.Sprintf("1: POSIX  ADVISORY  READ 813 %s:%d 0 EOF\n2: FLOCK  ADVISORY  WRITE 812 %s:%d 0 EOF\n2: -> FLOCK  ADVISORY  WRITE 814 %s:%d 0 EOF\n3: FLOCK  ADVISORY  WRITE 813 %s:%d 0 EOF\n4: FLOCK  ADVISORY  WRITE 999 %s:%d 0 EOF\n",
		device, file.Ino, device, file.Ino, device, file.Ino, device, file.Ino+1, device, file.Ino)
	if err := os.WriteFile(filepath.Join(root, "proc/locks"), []byte(locks), 0o600); err != nil {
		t.Fatal(err)
	}
	held, _ := holders(root, "/dev/ttyUSB0")
	if want := []Process{{812, "gauged"}}; !slices.Equal(held["/dev/ttyUSB0"], want) {
		t.Errorf("got %v, want %v", held, want)
	}
	if _, hidden := holders(filepath.Join(root, "none"), "/dev/ttyUSB0"); !hidden {
		t.Error("without /proc nobody is said to be hidden")
	}
}

// TestNumberOfTheHub: an adapter without a serial number has not the hub's.
func TestNumberOfTheHub(t *testing.T) {
	sys := filepath.Join(machine(t, twoAlike), "sys")
	for _, number := range []string{"HUB7", "0000:00:14.0"} {
		if path, err := findUSB(sys, serialClass, number); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s gave %q, %v", number, path, err)
		}
	}
}
