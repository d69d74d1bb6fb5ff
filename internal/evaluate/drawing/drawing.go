// Package drawing reads the pictures of a shop: photographs, and SVG that loads, runs and
// moves nothing.
package drawing

// Drawing is a picture that a procedure carries for the person at the bench.
// It stands inside the file, so that the version's hash covers it. An SVG is
// checked: it loads nothing, runs nothing and refers to itself alone.
type Drawing struct {
	Type    string // media type: image/svg+xml, image/png or image/jpeg
	Content []byte
	Alt     string // what it shows, in words
}

// The media types of drawings.
const (
	SVG  = "image/svg+xml"
	PNG  = "image/png"
	JPEG = "image/jpeg"
)

// Bounds of a drawing.
const (
	mostSVG    = 200_000 // bytes
	mostImage  = 500_000 // bytes, decoded
	mostPixels = 8_000   // along one side
)
