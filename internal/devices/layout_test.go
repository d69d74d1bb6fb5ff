package devices

import "testing"

func TestShippedLayoutsLoad(t *testing.T) {
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	if len(layouts) != 3 {
		t.Errorf("%d layouts are shipped, want 3", len(layouts))
	}
	for name, l := range layouts {
		if !l.SelfSynchronising() {
			t.Errorf("layout %s is not self-synchronising", name)
		}
	}
}
