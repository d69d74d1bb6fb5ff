package dial

import "testing"

// TestSplit: the three forms of an address, and what is none.
func TestSplit(t *testing.T) {
	for address, want := range map[string]string{"unix:///run/a": "unix /run/a", "/run/a": "unix /run/a", "bench.local:7000": "tcp bench.local:7000", "[::1]:70": "tcp [::1]:70"} {
		network, place, ok := Split(address)
		if !ok || network+" "+place != want {
			t.Errorf("%s: %s %s, want %s", address, network, place, want)
		}
	}
	for _, address := range []string{"bench", "unix://relative", "http://a:1", ":", "bench:"} {
		if _, place, ok := Split(address); ok {
			t.Errorf("%s is taken for %s", address, place)
		}
	}
}
