package drawing

import (
	"bytes"
	"encoding/base64"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strings"

	"gauged/internal/shopfile"
)

// Read reads an SVG as it is written, or a photograph in base64; nil
// when there is none.
func Read(v shopfile.Value) *Drawing {
	if !v.Given() {
		return nil
	}
	m := v.Map()
	svg, picture, kind := m.Get("svg"), m.Get("image"), m.Get("type")
	d := &Drawing{Alt: strings.TrimSpace(m.Need("alt").Text())}
	if m.Get("alt").Given() && d.Alt == "" {
		m.Get("alt").Problemf("say in words what the drawing shows, for those who do not see it")
	}
	switch {
	case svg.Given() == picture.Given() && v.IsMap():
		v.Problemf("give exactly one of svg and image")
	case svg.Given():
		kind.Problemf("an svg has no other type: leave type out")
		d.Type, d.Content = SVG, []byte(svg.Text())
		check(svg, d.Content)
	case picture.Given():
		d.Type, d.Content = readImage(picture, m.Need("type"))
	}
	m.Done()
	return d
}

// imageKinds says how each type of image is recognised.
var imageKinds = map[string]struct {
	media  string
	begins string
	decode func(io.Reader) (image.Config, error)
}{
	"png":  {PNG, "\x89PNG\r\n\x1a\n", png.DecodeConfig},
	"jpeg": {JPEG, "\xff\xd8\xff", jpeg.DecodeConfig},
}

// readImage reads base64, in which white space does not count.
func readImage(v, typed shopfile.Value) (media string, content []byte) {
	kind, ok := imageKinds[typed.OneOf("png", "jpeg")]
	if !ok {
		return "", nil
	}
	content, err := base64.StdEncoding.DecodeString(strings.Join(strings.Fields(v.Text()), ""))
	var wrong base64.CorruptInputError
	switch {
	case errors.As(err, &wrong):
		v.Problemf("the image is not base64: see its character %d", int64(wrong)+1)
	case err != nil:
		v.Problemf("the image is not base64: %v", err)
	case len(content) > mostImage:
		v.Problemf("the image has %d bytes; at most %d are possible", len(content), mostImage)
	case !bytes.HasPrefix(content, []byte(kind.begins)):
		v.Problemf("the image does not begin as a %s does", typed.Text())
	default:
		size, err := kind.decode(bytes.NewReader(content))
		if err != nil {
			v.Problemf("the image is not a readable %s: %v", typed.Text(), err)
		} else if size.Width > mostPixels || size.Height > mostPixels || size.Width < 1 || size.Height < 1 {
			v.Problemf("the image is %d by %d pixels; at most %d each way are possible", size.Width, size.Height, mostPixels)
		}
	}
	return kind.media, content
}
