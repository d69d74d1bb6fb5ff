package capture

import (
	"fmt"
	"strings"

	"gauged/internal/gauge"
)

// In names a stroke that gave no play, in the unit and with the digits of a reading.
func (f Fault) In(now *gauge.Reading) string {
	_, decimals, _ := strings.Cut(now.Shown, ".")
	at := fmt.Sprintf("%s %s", f.At.Value.Text(now.Unit, len(decimals)), now.Unit)
	if f.Reason == Dropout {
		return "the gauge paused at " + at
	}
	text := "the stroke to " + at + " " + string(f.Reason)
	if f.By > 0 {
		text += fmt.Sprintf(", by %s %s", f.By.Text(now.Unit, len(decimals)), now.Unit)
	}
	return text
}
