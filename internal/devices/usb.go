package devices

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"gauged/internal/gauge"
)

// sysRoot is where Linux shows its devices. Ports are listed from there and
// never by opening them, which would disturb a line in use.
const sysRoot = "/sys"

// deviceClass is a class of devices in sysfs.
type deviceClass struct {
	name, what string
	key        string // of a gauge's definition that names a device by its path
	byPath     string // where udev names devices by their physical port
	// path returns the device file of an entry, and false for an entry that is not meant.
	path func(class, entry string) (string, bool)
}

// serialClass lists serial ports.
var serialClass = deviceClass{
	name: "tty", what: "adapter", key: "port", byPath: "/dev/serial/by-path",
	path: func(class, entry string) (string, bool) {
		// The kernel keeps names ready for on-board ports that are not there:
		// their type is 0, unknown.
		return "/dev/" + entry, attribute(filepath.Join(class, entry), "type") != "0"
	},
}

// classEntry is a device of a class that has hardware.
type classEntry struct {
	path string // of the device file
	usb  string // directory in sysfs of the USB device that it belongs to, or empty
}

// entries lists the devices of a class. Where there is no sysfs there are none.
func (c deviceClass) entries(sys string) ([]classEntry, error) {
	sys, err := filepath.EvalSymlinks(sys)
	if os.IsNotExist(err) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the devices: %w", err)
	}
	class := filepath.Join(sys, "class", c.name)
	names, err := os.ReadDir(class)
	if err != nil && !os.IsNotExist(err) {
		return nil, fmt.Errorf("list the devices: %w", err)
	}
	var entries []classEntry
	for _, e := range names {
		device, err := filepath.EvalSymlinks(filepath.Join(class, e.Name(), "device"))
		if err != nil {
			continue // a terminal without hardware, or unplugged while we look
		}
		if path, ok := c.path(class, e.Name()); ok {
			entries = append(entries, classEntry{path, usbAbove(sys, device)})
		}
	}
	return entries, nil
}

// adapterAt returns the USB serial number of the adapter that has a port; empty
// when there is none.
func adapterAt(sys, path string) string {
	sys, err := filepath.EvalSymlinks(sys)
	if err != nil {
		return ""
	}
	device, err := filepath.EvalSymlinks(filepath.Join(sys, "class", serialClass.name, filepath.Base(resolved(path)), "device"))
	if err != nil {
		return ""
	}
	if above := usbAbove(sys, device); above != "" {
		return attribute(above, "serial")
	}
	return ""
}

// usbAbove goes up from a device to the USB device that it belongs to. What is
// above that, a hub or the controller, has a serial number of its own.
func usbAbove(sys, device string) string {
	for strings.HasPrefix(device, sys+string(filepath.Separator)) {
		if attribute(device, "idVendor") != "" {
			return device
		}
		device = filepath.Dir(device)
	}
	return ""
}

// attribute is what sysfs says of a device, and empty where it says nothing.
func attribute(device, name string) string {
	content, err := os.ReadFile(filepath.Join(device, name))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(content))
}

// usbDevices returns the device files of a class by the USB serial number of
// what they belong to.
func usbDevices(sys string, c deviceClass) (map[string][]string, error) {
	entries, err := c.entries(sys)
	if err != nil {
		return nil, err
	}
	ports := map[string][]string{}
	for _, e := range entries {
		if e.usb == "" {
			continue
		}
		if number := attribute(e.usb, "serial"); number != "" {
			ports[number] = append(ports[number], e.path)
		}
	}
	return ports, nil
}

// findUSB returns the one device of a class with this USB serial number.
func findUSB(sys string, c deviceClass, number string) (string, error) {
	ports, err := usbDevices(sys, c)
	if err != nil {
		return "", err
	}
	switch paths := ports[number]; len(paths) {
	case 0:
		return "", fmt.Errorf("no USB %s has the serial number %q: %w", c.what, number, fs.ErrNotExist)
	case 1:
		return paths[0], nil
	default:
		sort.Strings(paths)
		return "", &lineError{message: gauge.Say("because.open.several", gauge.Count("count", len(paths)), gauge.Text("serial", number),
			gauge.Texts("ports", paths), gauge.Text("key", c.key), gauge.Text("directory", c.byPath))}
	}
}
