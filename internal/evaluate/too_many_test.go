package evaluate

import (
	"fmt"
	"testing"
)

// TestTooManyPacksAtAPlace: the answer is that there are too many, not that nothing fits.
// Numbers ours.
func TestTooManyPacksAtAPlace(t *testing.T) {
	shims := kitOf("grades:")
	for i := range 40 {
		shims += fmt.Sprintf("  - {part: p%d, thickness: 0.%03d, stock: 3}\n", i, 100+13*i)
	}
	e := sides(t, "2.5", "3.1", "choose: {method: nearest, pack: {most: 10}}, within: 0.01", "together: {within: 0.01}", shims)
	if want := "left: The pieces of family kit can be stacked in more than 20000 ways. Allow fewer pieces in the procedure, or fewer thicknesses."; e.Outcome != TooMany || findingsText(e) != want {
		t.Errorf("%s, %s", e.Outcome, findingsText(e))
	}
}
