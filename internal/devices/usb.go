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

// usbPorts returns the serial ports of this machine by the USB serial number
// of their adapter. Where there is no sysfs there are none.
func usbPorts(sys string) (map[string][]string, error) {
	sys, err := filepath.EvalSymlinks(sys)
	if os.IsNotExist(err) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the serial ports: %w", err)
	}
	class := filepath.Join(sys, "class", "tty")
	entries, err := os.ReadDir(class)
	if err != nil && !os.IsNotExist(err) {
		return nil, fmt.Errorf("list the serial ports: %w", err)
	}
	ports := map[string][]string{}
	for _, e := range entries {
		device, err := filepath.EvalSymlinks(filepath.Join(class, e.Name(), "device"))
		if err != nil {
			continue // a terminal without hardware, or unplugged while we look
		}
		if number := serialNumber(sys, device); number != "" {
			ports[number] = append(ports[number], "/dev/"+e.Name())
		}
	}
	return ports, nil
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

// findUSB returns the one port of the adapter with this serial number.
func findUSB(sys, number string) (string, error) {
	ports, err := usbPorts(sys)
	if err != nil {
		return "", err
	}
	switch paths := ports[number]; len(paths) {
	case 0:
		return "", fmt.Errorf("no USB adapter has the serial number %q: %w", number, fs.ErrNotExist)
	case 1:
		return paths[0], nil
	default:
		sort.Strings(paths)
		return "", fmt.Errorf("%d ports belong to the USB serial number %q (%s): name one of them by \"port\" with its path under /dev/serial/by-path",
			len(paths), number, strings.Join(paths, ", "))
	}
}
