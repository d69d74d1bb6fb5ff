package bench

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// proposal is a gauge's entry of the configuration, for people to complete.
func proposal(id string, lines ...string) string {
	return id + ":\n  " + strings.Join(lines, "\n  ") + "\n"
}

// propose shows entries as they stand under "gauges" of a configuration.
func propose(w io.Writer, entries ...string) {
	fmt.Fprint(w, "\nFor the station's configuration:\n\n")
	for _, entry := range entries {
		for line := range strings.Lines(entry) {
			fmt.Fprint(w, "    ", line)
		}
	}
}

// where is how an entry says where a gauge is.
func where(key, value string) string {
	if !strings.HasPrefix(value, "/") {
		value = strconv.Quote(value) // a serial number may look like a number
	}
	return key + ": " + value
}
