//go:build page

package pagetest

import (
	"bytes"
	"cmp"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// screens is where the pictures of docs/screens.md go; make screens says docs/screens.
var screens = flag.String("screens", filepath.Join(kept, "screens"), "directory for the pictures of docs/screens.md")

// A picture of docs is small: so many bytes, colours and lines at most.
const (
	mostBytes   = 60 << 10
	mostColours = 48
	mostLines   = 900
)

// TestScreens makes the pictures of docs/screens.md: a job, its sheet, a gauge, a
// procedure. docs has one by each name.
func TestScreens(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.do(chromedp.EmulateViewport(1280, 800))
	drawn := []string{s.picture("1-start", "body", s.started)}
	drawn = append(drawn, s.picture("2-measure", "body", func() {
		s.touch("#start")
		s.there("#live")
		s.pressed("depth", "24.700")
		s.shows("#repeats", "24.700")
		s.discardLast()
		s.touch("#panel-readings summary")
		s.pressed("depth", "25.210")
		s.shows("#repeats", "25.210")
	}), s.picture("3-part", "body", func() {
		s.pressed("depth", "25.214")
		s.shows("#step", "Height of the cover")
		s.typed("23.460")
		s.shows("#step", "R160", "0.152 mm")
		s.settled()
	}), s.picture("4-verdict", "body", func() {
		b.floor()
		s.shows("#step", "End play with the ring")
		b.hands("set indicator 0.152")
		s.shows("#live", "0.152")
		s.touch("#take")
		s.shows("#step", "Conforms", "0.152")
		s.settled()
	}), s.picture("5-sheet", "body", func() {
		b.floor()
		s.until(`location.pathname === "/jobs/1" && !document.body.dataset.stream?.startsWith("/jobs/")`)
		s.open("/jobs/1/sheet")
		s.shows("main", "Job sheet 1", "Conforms", "0.152")
	}), s.picture("6-gauges", "body", func() {
		b.daily("indicator", "0.000", "0.001", "0.000", "0.002", "0.001", "0.001", "0.002", "0.001", "0.002", "0.002", "0.002")
		s.open("/gauges")
		s.shows("main", "Indicator on the stand", "25.214")
	}), s.picture("7-drift", "#drift-title", func() {
		s.open("/gauges/indicator")
		s.there(`section[aria-labelledby=drift-title] svg.chart`)
	}), s.picture("8-procedure", "body", func() {
		s.open("/procedures/ring")
		s.shows("main", "Depth of the case", "within 0.030 mm", "Wear goggles")
	}))
	var committed []string
	files, err := filepath.Glob("../../docs/screens/*.png")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		committed = append(committed, strings.TrimSuffix(filepath.Base(file), ".png"))
	}
	if !slices.Equal(committed, drawn) {
		t.Errorf("docs/screens has %v, the pictures are %v: make screens", committed, drawn)
	}
}

// started is the first page, with a unit and the gauges of its job.
func (s *screen) started() {
	s.Helper()
	s.begin()
}

// picture does something and keeps what the screen shows then, from an element on,
// small, in the directory of the pictures of docs. It returns the name.
func (s *screen) picture(name, from string, do func()) string {
	s.Helper()
	do()
	shown, err := png.Decode(bytes.NewReader(see(s, chromedp.FullScreenshot(100))))
	if err != nil {
		s.Fatal(err)
	}
	top := value[int](s, fmt.Sprintf(`Math.round(document.querySelector(%q).getBoundingClientRect().top + scrollY)`, from))
	var small bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&small, fewColours(shown, top)); err != nil {
		s.Fatal(err)
	}
	if small.Len() > mostBytes {
		s.Errorf("%s has %d bytes, want %d at most", name, small.Len(), mostBytes)
	}
	if err := os.MkdirAll(*screens, 0o755); err != nil {
		s.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*screens, name+".png"), small.Bytes(), 0o644); err != nil {
		s.Fatal(err)
	}
	return name
}

// fewColours is a part of a picture, from a line on, in its most frequent colours.
func fewColours(shown image.Image, top int) *image.Paletted {
	box := shown.Bounds()
	box.Min.Y += top
	box.Max.Y = min(box.Max.Y, box.Min.Y+mostLines)
	count := map[color.RGBA]int{}
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			count[color.RGBAModel.Convert(shown.At(x, y)).(color.RGBA)]++
		}
	}
	var colours color.Palette
	for c := range count {
		colours = append(colours, c)
	}
	slices.SortFunc(colours, func(a, b color.Color) int {
		one, other := a.(color.RGBA), b.(color.RGBA)
		return cmp.Or(count[other]-count[one], bytes.Compare([]byte{one.R, one.G, one.B}, []byte{other.R, other.G, other.B}))
	})
	few := image.NewPaletted(image.Rect(0, 0, box.Dx(), box.Dy()), colours[:min(len(colours), mostColours)])
	draw.Draw(few, few.Bounds(), shown, box.Min, draw.Src)
	return few
}
