package devices

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// sysRoot is where Linux shows its devices. Ports are listed from there and
// never by opening them, which would disturb a line in use.
const sysRoot = "/sys"

// deviceClass is a class of devices in sysfs. path returns the device file of an
// entry, and false for an entry that is not meant.
type deviceClass struct {
	name, what string
	path       func(class, entry string) (string, bool)
}

// serialClass lists serial ports.
var serialClass = deviceClass{
	name: "tty", what: "adapter",
	path: func(_, entry string) (string, bool) { return "/dev/" + entry, true },
}

// usbDevices returns the devices of a class by the USB serial number of what
// they belong to. Where there is no sysfs there are none.
func usbDevices(sys string, c deviceClass) (map[string][]string, error) {
	sys, err := filepath.EvalSymlinks(sys)
	if os.IsNotExist(err) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the devices: %w", err)
	}
	class := filepath.Join(sys, "class", c.name)
	entries, err := os.ReadDir(class)
	if err != nil && !os.IsNotExist(err) {
		return nil, fmt.Errorf("list the devices: %w", err)
	}
	ports := map[string][]string{}
	for _, e := range entries {
		device, err := filepath.EvalSymlinks(filepath.Join(class, e.Name(), "device"))
		if err != nil {
			continue // a terminal without hardware, or unplugged while we look
		}
		if number := serialNumber(sys, device); number != "" {
			if path, ok := c.path(class, e.Name()); ok {
				ports[number] = append(ports[number], path)
			}
		}
	}
	return ports, nil
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
	return serialNumber(sys, device)
}

// serialNumber goes up from a device to the adapter that has a serial number.
func serialNumber(sys, device string) string {
	for strings.HasPrefix(device, sys+string(filepath.Separator)) {
		content, err := os.ReadFile(filepath.Join(device, "serial"))
		if err == nil {
			return strings.TrimSpace(string(content))
		}
		device = filepath.Dir(device)
	}
	return ""
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
		return "", fmt.Errorf("%d ports belong to the USB serial number %q (%s): name one of them by \"port\" with its path under /dev/serial/by-path",
			len(paths), number, strings.Join(paths, ", "))
	}
}
