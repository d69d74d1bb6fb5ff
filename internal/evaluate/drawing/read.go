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

	"gauged/internal/gauge"
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
		m.Get("alt").Wrong(gauge.Say("entry.drawing-alt"))
	}
	switch {
	case svg.Given() == picture.Given() && v.IsMap():
		v.Wrong(gauge.Say("entry.drawing-one"))
	case svg.Given():
		kind.Wrong(gauge.Say("entry.drawing-type"))
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
		v.Wrong(gauge.Say("entry.image-character", gauge.Count("at", int64(wrong)+1)))
	case err != nil:
		v.Wrong(gauge.Say("entry.image-base64", gauge.Because("why", err)))
	case len(content) > mostImage:
		v.Wrong(gauge.Say("entry.image-large", gauge.Count("size", len(content)), gauge.Count("most", mostImage)))
	case !bytes.HasPrefix(content, []byte(kind.begins)):
		v.Wrong(gauge.Say("entry.image-begins", typed.As("kind")))
	default:
		size, err := kind.decode(bytes.NewReader(content))
		if err != nil {
			v.Wrong(gauge.Say("entry.image-unreadable", typed.As("kind"), gauge.Because("why", err)))
		} else if size.Width > mostPixels || size.Height > mostPixels || size.Width < 1 || size.Height < 1 {
			v.Wrong(gauge.Say("entry.image-pixels", gauge.Count("width", size.Width), gauge.Count("height", size.Height), gauge.Count("most", mostPixels)))
		}
	}
	return kind.media, content
}
