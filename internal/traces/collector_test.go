package traces

import (
	"testing"

	"gauged/internal/gauge"
)

// TestCheckURL: what leaves this machine is https, and an address is a name and perhaps a port.
func TestCheckURL(t *testing.T) {
	for address, want := range map[string]string{
		"https://traces.example":        "",
		"https://traces.example:14317/": "",
		"http://127.0.0.1:4317":         "",
		"http://[::1]":                  "",
		"http://localhost:4317":         "",
		"http://traces.example":         "station.hook-url-clear",
		"http://192.0.2.1:4317":         "station.hook-url-clear",
		"https://ada:pw@traces.example": "station.traces-url",
		"https://traces.example/v1":     "station.traces-url",
		"https://traces.example?a=b":    "station.traces-url",
		"grpc://traces.example":         "station.traces-url",
		"traces.example:4317":           "station.traces-url",
		"":                              "station.traces-url",
		"https://%zz":                   "station.traces-url",
	} {
		got := ""
		if err := CheckURL(address); err != nil {
			got = gauge.Told(err).Code
		}
		if got != want {
			t.Errorf("%q: %q, want %q", address, got, want)
		}
	}
}
