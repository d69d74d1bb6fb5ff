//go:build page

package pagetest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"gauged/internal/gauge"
)

// TestTouchesOfAJob: the job of the demonstration, of which the device remembers nothing,
// takes six touches at most, and three with a pedal. The gauge's own button and what is
// scanned or typed as the unit's serial number and the name do not count.
func TestTouchesOfAJob(t *testing.T) {
	for _, by := range []struct {
		name string
		most int
		act  func(*screen, string)
	}{
		{"touch", 6, (*screen).touch},
		{"pedal", 3, (*screen).pedal},
	} {
		t.Run(by.name, func(t *testing.T) {
			b := newDemo(t)
			s := b.newScreen("en")
			s.open("/")
			s.until(`document.activeElement.id === "serial"`)
			s.press("L2-0417" + kb.Enter) // as a code reader types it
			s.until(`document.activeElement.name === "procedure"`)
			s.touch("input[value=output-shaft-ring]")
			s.there("#start")
			s.shows("#read", "Wear goggles")
			s.until(`document.activeElement.id === "technician"`)
			s.press("Ada" + kb.Enter)
			s.until(`document.activeElement.id === "start"`)
			s.touch("#start")
			s.until(`location.pathname === "/jobs/1"`)
			b.await("the gauge is there", func() bool { return b.Line("depth").Listening() })
			taken := func(n int) {
				s.until(fmt.Sprintf(`document.querySelectorAll("#repeats .readings li").length === %d`, n))
			}
			for i, shown := range []string{"46.415", "46.412", "46.418", "45.030", "45.036"} {
				time.Sleep(gauge.PressedTwiceWithin) // the next part comes under the gauge meanwhile
				b.pressed("depth", shown)
				taken(i + 1)
			}
			s.shows("#step", "Fit ")
			by.act(s, "#fit")
			for i, shown := range []string{"0.012", "0.190"} {
				s.until(`document.querySelector("#live .reading")`)
				b.hands("set indicator " + shown)
				s.until(fmt.Sprintf(`Math.abs(Number(document.querySelector("#live .digits")?.textContent) - %s) < 0.006`, shown))
				by.act(s, "#take")
				taken(i + 6)
			}
			s.there("#sign")
			by.act(s, "#sign")
			s.there("#next-unit")
			if shown := b.gaugectl("job", "show", "1"); !strings.Contains(shown, "Ada") || !strings.Contains(shown, "Conforms") {
				t.Error(shown)
			}
			t.Logf("by %s: %d touches of the screen", by.name, s.touches)
			if s.touches > by.most {
				t.Errorf("by %s: %d touches, want %d at most", by.name, s.touches, by.most)
			}
		})
	}
}
