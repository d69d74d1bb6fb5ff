package devices

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gauged/internal/gauge"

	"golang.org/x/sys/unix"
)

// Discover lists the serial ports and USB keyboards of the machine whose file
// system begins at root ("/" for this one), without opening any of them. It
// reads sys, dev and proc below root; the paths it returns begin with /dev.
func Discover(root string) (*Listing, error) {
	l := &Listing{Ports: []Plugged{}, Absent: []AbsentGauge{}}
	if err := l.add(root, serialClass, PluggedSerial); err != nil {
		return nil, err
	}
	if err := l.add(root, inputClass, PluggedKeyboard); err != nil {
		return nil, err
	}
	var paths []string
	numbers := map[string]int{}
	for _, p := range l.Ports {
		paths = append(paths, p.Path)
		if p.USB != nil {
			numbers[p.USB.Serial]++
		}
	}
	var held map[string][]Process
	held, l.Hidden = holders(root, paths...)
	for i := range l.Ports {
		p := &l.Ports[i]
		p.Holders = append(p.Holders, held[p.Path]...)
		p.Place = p.place(numbers)
	}
	return l, nil
}

// add lists one class. Only keyboards on USB can be gauges.
func (l *Listing) add(root string, c deviceClass, kind string) error {
	entries, err := c.entries(filepath.Join(root, "sys"))
	if err != nil {
		return err
	}
	slices.SortFunc(entries, func(a, b classEntry) int { return byNumber(a.path, b.path) })
	for _, e := range entries {
		if kind == PluggedKeyboard && e.usb == "" {
			continue
		}
		l.Ports = append(l.Ports, Plugged{
			Kind: kind, Path: e.path, Links: linksTo(root, e.path), USB: readUSB(e.usb),
			Refused: refusal(root, e.path, kind), Holders: []Process{}, Gauges: []string{},
		})
	}
	return nil
}

// byNumber puts ttyUSB2 before ttyUSB10.
func byNumber(a, b string) int {
	name := func(s string) string { return strings.TrimRight(s, "0123456789") }
	return cmp.Or(strings.Compare(name(a), name(b)), cmp.Compare(len(a), len(b)), strings.Compare(a, b))
}

func readUSB(dir string) *USBDevice {
	if dir == "" {
		return nil
	}
	return &USBDevice{
		Serial: attribute(dir, "serial"), Product: attribute(dir, "product"),
		Vendor: attribute(dir, "idVendor"), Model: attribute(dir, "idProduct"),
		Port: filepath.Base(dir),
	}
}

// linkDirs are where udev puts names that stay; the last is from our own rules.
var linkDirs = []string{"/dev/serial/by-id", "/dev/serial/by-path", "/dev/input/by-id", "/dev/input/by-path", "/dev/gauges"}

func linksTo(root, path string) []string {
	found := []string{}
	device := resolved(filepath.Join(root, path))
	for _, dir := range linkDirs {
		links, err := os.ReadDir(filepath.Join(root, dir))
		if err != nil {
			continue // udev makes it with the first link
		}
		for _, link := range links {
			if name := filepath.Join(dir, link.Name()); resolved(filepath.Join(root, name)) == device {
				found = append(found, name)
			}
		}
	}
	return found
}

// refusal says why we may not open a device. A keyboard is only read.
func refusal(root, path, kind string) string {
	file := filepath.Join(root, path)
	mode := uint32(unix.R_OK | unix.W_OK)
	if kind == PluggedKeyboard {
		mode = unix.R_OK
	}
	switch err := unix.Access(file, mode); {
	case err == nil:
		return ""
	case errors.Is(err, fs.ErrPermission):
		return forbidden(path, whose(file)).Error()
	case errors.Is(err, fs.ErrNotExist):
		return (&OpenError{path, gauge.Say("because.open.no-file"), err}).Error()
	default:
		return cannotOpen(path, err).Error()
	}
}

// place prefers the serial number; cheap adapters share one, and an adapter may
// have several ports. Then it is the physical port that tells them apart.
func (p *Plugged) place(numbers map[string]int) Place {
	class, byNumber := serialClass, "usb"
	if p.Kind == PluggedKeyboard {
		class, byNumber = inputClass, inputClass.key
	}
	if p.USB != nil && p.USB.Serial != "" && numbers[p.USB.Serial] == 1 {
		return Place{Key: byNumber, Value: p.USB.Serial}
	}
	for _, link := range p.Links {
		if filepath.Dir(link) == class.byPath {
			return Place{Key: class.key, Value: link}
		}
	}
	return Place{Key: class.key, Value: p.Path, Renumbered: p.USB != nil}
}

// Assign says which of the configured gauges each port belongs to, and which
// gauges are not there. root is that of Discover.
func (l *Listing) Assign(root string, gauges []Gauge) {
	for _, g := range gauges {
		path, err := g.device(filepath.Join(root, "sys"))
		if path == "" && err == nil {
			continue // fed from outside, or on the network
		}
		if err == nil {
			_, err = os.Stat(filepath.Join(root, path))
		}
		switch {
		case errors.Is(err, fs.ErrNotExist) && path != "":
			l.Absent = append(l.Absent, AbsentGauge{g.ID, "there is no " + path + ": plug the gauge in, or correct its definition"})
			continue
		case err != nil:
			l.Absent = append(l.Absent, AbsentGauge{g.ID, err.Error()})
			continue
		}
		device := resolved(filepath.Join(root, path))
		for i := range l.Ports {
			if p := &l.Ports[i]; resolved(filepath.Join(root, p.Path)) == device {
				p.Gauges = append(p.Gauges, g.ID)
			}
		}
	}
}

// device returns the device file of a gauge, or none for a gauge that has none.
func (g Gauge) device(sys string) (string, error) {
	switch {
	case g.Keyboard != "":
		return keyboardDialer{name: g.Keyboard, class: inputClass, sys: sys}.path()
	case g.USB != "":
		return findUSB(sys, serialClass, g.USB)
	}
	return g.Port, nil
}
