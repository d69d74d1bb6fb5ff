package gauge

import "testing"

func TestWordsOfKinds(t *testing.T) {
	if got := KindAngle.A() + ", " + KindTorque.A(); got != "an angle, a torque" {
		t.Error(got)
	}
	if got := MissingUnit("10°", Degree).Error(); got != `"10°" is not a number with a unit: write it as 12.3 deg` {
		t.Error(got)
	}
}
