package gauge

import "testing"

// TestSpellingsOfUnits: what can be no other unit is read as people write it, and is
// known by its symbol; what might be another one is refused.
func TestSpellingsOfUnits(t *testing.T) {
	for text, want := range map[string]Unit{
		"\u00b5m": Micrometre, "\u03bcm": Micrometre, "um": Micrometre, "Nm": NewtonMetre, "N m": NewtonMetre, "Ncm": NewtonCentimetre,
	} {
		if got, err := ParseUnit(text, want.Kind()); err != nil || got != want {
			t.Errorf("%q is %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"nm", "NM", "mN", "m", "\u00b5"} {
		if got, err := ParseUnit(text); err == nil {
			t.Errorf("%q is %v", text, got)
		}
	}
}
