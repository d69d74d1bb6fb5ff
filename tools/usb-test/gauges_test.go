//go:build usb

// Package usbtest plugs gauges into a real kernel and pulls them out again. The
// kernel runs in a virtual machine with the daemon; make test-usb builds it.
package usbtest

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"
)

func TestGaugesOnARealKernel(t *testing.T) {
	m := boot(t, "gauges.cpio")
	m.until("level=INFO", "msg=ready")

	// A UART is set as the definition says; DTR is up and RTS is down.
	m.until("UART signals CTS|DTR|DSR|CD ", "speed 19200 baud", " cs7 ", " parenb ", " -parodd ", " cstopb ", " -crtscts")
	m.until(`msg="gauge is live" gauge=wired`)
	m.send("ttyS1", "+005.000 mm\r\n")
	m.until(`"gauge_id":"wired"`, `"text":"+005.000"`)

	// Plugged in, and pulled out in the middle of a frame.
	plugged := time.Now()
	m.plugAdapter("SN0042")
	m.until(`"gauge_id":"left"`, "LIVE")
	t.Logf("from plug to an open port: %d ms", time.Since(plugged).Milliseconds())
	m.send("SN0042", "+012.345 mm\r\n-000.048 mm\r\n")
	m.until(`"text":"-000.048"`)
	t.Logf("from plug to the first readings in the history: %d ms", time.Since(plugged).Milliseconds())
	m.send("SN0042", "+099.9")
	time.Sleep(200 * time.Millisecond) // the half frame is in the daemon
	m.unplug("SN0042")
	m.until(`"gauge_id":"left"`, "ABSENT")

	// Back under another name, since another adapter has the first one now.
	m.plugAdapter("SN0099")
	m.until("TTY ttyUSB0 SN0099")
	m.until(`"gauge_id":"right"`, "OPENING")
	plugged = time.Now()
	m.plugAdapter("SN0042")
	m.until("TTY ttyUSB1 SN0042")
	m.until(`"gauge_id":"left"`, "LIVE")
	t.Logf("from the second plug to an open port: at most %d ms", time.Since(plugged).Milliseconds())
	m.send("SN0042", "99 mm\r\n") // the rest of the half frame
	m.send("SN0042", "+001.000 mm\r\n")
	m.until(`"gauge_id":"left"`, `"text":"+001.000"`)
	m.send("SN0099", "+002.000 mm\r\n")
	m.until(`"gauge_id":"right"`, `"text":"+002.000"`)

	// Both adapters out and back in the other order: the names change places.
	m.unplug("SN0099")
	m.until(`"gauge_id":"right"`, "ABSENT")
	m.unplug("SN0042")
	m.until(`"gauge_id":"left"`, "ABSENT")
	m.plugAdapter("SN0042")
	m.until("TTY ttyUSB0 SN0042")
	m.until(`"gauge_id":"left"`, "LIVE")
	m.plugAdapter("SN0099")
	m.until("TTY ttyUSB1 SN0099")
	m.until(`"gauge_id":"right"`, "OPENING")
	m.send("SN0099", "+004.000 mm\r\n")
	m.until(`"gauge_id":"right"`, `"text":"+004.000"`)
	m.send("SN0042", "+003.000 mm\r\n")
	m.until(`"gauge_id":"left"`, `"text":"+003.000"`)

	// A gauge that types: nobody else sees its keys.
	m.plugKeyboard("KB1")
	m.until(`"gauge_id":"typed"`, "LIVE")
	m.until("OTHER listens to KB1")
	m.typeKeys("1", "2", "dot", "5", "0", "ret")
	m.until(`"gauge_id":"typed"`, `"text":"12.50"`)
	m.typeKeys("minus", "0", "dot", "0", "5", "ret")
	m.until(`"gauge_id":"typed"`, `"text":"-0.05"`)
	m.unplug("KB1")
	m.until(`"gauge_id":"typed"`, "ABSENT")

	// A keyboard that is no gauge: its keys go where they belong, and nowhere else.
	m.plugKeyboard("KB2")
	m.until("OTHER listens to KB2")
	m.typeKeys("9", "ret")
	m.until("OTHER reads KB2")

	// A job by foot, which nobody else hears of either.
	m.plugKeyboard("FS1")
	m.until(`"gauge_id":"pedal"`, "LIVE")
	m.until("OTHER listens to FS1")
	m.typeKeys("b") // the reading of before
	m.until("JOB", `"stage":"JOB_STAGE_CHOOSE"`, `"text":"+004.000"`)
	m.typeKeys("c")
	m.until("JOB", `"stage":"JOB_STAGE_MEASURE"`, `"discard_reason":"discarded with pedal"`)
	m.send("SN0099", "+001.700 mm\r\n")
	m.until(`"gauge_id":"right"`, `"text":"+001.700"`)
	m.typeKeys("b")
	m.until("JOB", `"stage":"JOB_STAGE_CHOOSE"`, `"text":"+001.700"`)
	for _, stage := range []string{"STAGE_VERIFY", "STAGE_CLOSED"} {
		time.Sleep(time.Second) // a press that is sooner is an accident of the foot
		m.typeKeys("d")
		m.until("JOB", `"stage":"JOB_`+stage+`"`)
	}

	for _, line := range m.seen {
		if strings.HasPrefix(line, "OTHER reads KB1") || strings.HasPrefix(line, "OTHER reads FS1") {
			t.Errorf("another program read keys that are not for it: %s", line)
		}
	}
	want := []reading{
		"wired 1 +005.000", "left 1 +012.345", "left 2 -000.048", "left 3 +001.000", "right 1 +002.000",
		"right 2 +004.000", "left 4 +003.000", "typed 1 12.50", "typed 2 -0.05", "right 3 +001.700",
	}
	if !slices.Equal(m.readings, want) {
		t.Errorf("got  %q\nwant %q", m.readings, want)
	}
}

// reading is what a watcher is told of one: "left 1 +012.345" is the first of
// the gauge left.
type reading = string

func readingOf(t *testing.T, line string) (reading, bool) {
	event, ok := strings.CutPrefix(line, "EVENT ")
	if !ok {
		return "", false
	}
	var e struct {
		Reading *struct {
			GaugeID string `json:"gauge_id"`
			Number  string
			Value   struct{ Text string }
		}
	}
	if err := json.Unmarshal([]byte(event), &e); err != nil {
		t.Fatalf("%v: %s", err, line)
	}
	if e.Reading == nil {
		return "", false
	}
	return e.Reading.GaugeID + " " + e.Reading.Number + " " + e.Reading.Value.Text, true
}
