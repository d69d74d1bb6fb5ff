package forward

import "testing"

func TestForwarderAddress(t *testing.T) {
	for address, want := range map[string]string{
		"/run/s": "unix:///run/s", "unix:///run/s": "unix:///run/s", "site:7420": "passthrough:///site:7420", "[::1]:7420": "passthrough:///[::1]:7420",
	} {
		if got, err := dialTarget(address); err != nil || got != want {
			t.Errorf("%s: %s, %v, want %s", address, got, err, want)
		}
	}
	for _, address := range []string{"", "site", "site:", "http://site:80", "unix://s"} {
		_, err := New(Options{Address: address})
		if want := "evaluator \"" + address + "\" is not an address: use unix:///path, /path or host:port"; err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}
