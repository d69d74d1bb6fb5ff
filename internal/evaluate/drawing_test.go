package evaluate

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// withDrawing puts a drawing of the whole procedure before the ring's file; its
// first line is line 3 of the file, indented by four.
func withDrawing(svg string) string {
	return "drawing:\n  svg: |\n    " + strings.ReplaceAll(svg, "\n", "\n    ") + "\n  alt: a ring in its groove\n" + ring
}

const svgBegin = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">`

// drawings are SVGs with the problem that each has; none where it is empty.
var drawings = []struct{ name, svg, want string }{
	{"plain", svgBegin + "<title>t</title><path d=\"M0 0h9\" fill=\"url(#a)\"/>\n<use href=\"#a\" xmlns:x=\"http://www.w3.org/1999/xlink\" x:href=\"#a\"/></svg>", ""},
	{"styled", svgBegin + "<style>path { stroke: black; marker-end: url( '#a' ) } @media print { path { fill: none } }</style></svg>", ""},
	{"declared", `<?xml version="1.0" encoding="UTF-8"?>` + "\n<!-- own -->\n" + svgBegin + "</svg>", ""},
	{"script", svgBegin + "\n<script>alert(1)</script></svg>", "f.yaml:4:5: <script> cannot stand in a drawing: shapes, text, markers, patterns and gradients can"},
	{"foreign object", svgBegin + "<g>\n  <foreignObject/></g></svg>", "f.yaml:4:7: <foreignObject> cannot stand in a drawing: shapes, text, markers, patterns and gradients can"},
	{"image", svgBegin + "<image/></svg>", "f.yaml:3:65: <image> cannot stand in a drawing: shapes, text, markers, patterns and gradients can"},
	{"animation", svgBegin + "<set/></svg>", "f.yaml:3:65: <set> cannot stand in a drawing: shapes, text, markers, patterns and gradients can"},
	{"event handler", svgBegin + "\n<path onLoad='x()'/></svg>", "f.yaml:4:5: onLoad: a drawing does nothing, so it has no event handlers"},
	{"href", svgBegin + "\n<use href='http://example.org/a'/></svg>", `f.yaml:4:5: href "http://example.org/a" leads out of the drawing: only #name is possible`},
	{"old href", svgBegin + "\n<use xmlns:x='http://www.w3.org/1999/xlink' x:href='a.svg'/></svg>", `f.yaml:4:5: href "a.svg" leads out of the drawing: only #name is possible`},
	{"base", svgBegin + "\n<g xml:base='http://example.org'/></svg>", `f.yaml:4:5: base leads out of the drawing: leave it out`},
	{"url in an attribute", svgBegin + "\n<g fill='URL(\"a.svg#b\")'/></svg>", `f.yaml:4:5: url() leads out of the drawing: only url(#name) is possible`},
	{"url in a style", svgBegin + "\n<g style='fill:url(//example.org/a)'/></svg>", `f.yaml:4:5: url() leads out of the drawing: only url(#name) is possible`},
	{"url around a comment", svgBegin + "\n<style>g{fill:u<!-- -->rl(a)}</style></svg>", `f.yaml:4:34: url() leads out of the drawing: only url(#name) is possible`},
	{"import", svgBegin + "<style>\n@import 'a.css';</style></svg>", `f.yaml:4:21: @import cannot stand in a drawing: of the @ rules only @media can`},
	{"escaped", svgBegin + "\n<g style='fill:u\\72l(a)'/></svg>", `f.yaml:4:5: a backslash cannot stand in a style or an attribute of a drawing`},
	{"image set", svgBegin + "\n<g style='mask:image-set(\"a.png\" 1x)'/></svg>", `f.yaml:4:5: image-set leads out of the drawing: leave it out`},
	{"script by name", svgBegin + "\n<g style='a:javascript:x'/></svg>", `f.yaml:4:5: javascript: cannot stand in a drawing`},
	{"not SVG", "<svg/>", `f.yaml:3:5: a drawing begins with <svg xmlns="http://www.w3.org/2000/svg">`},
	{"another root", `<g xmlns="http://www.w3.org/2000/svg"/>`, `f.yaml:3:5: a drawing begins with <svg xmlns="http://www.w3.org/2000/svg">`},
	{"no size", `<svg xmlns="http://www.w3.org/2000/svg"/>`, `f.yaml:3:5: the svg element needs a viewBox of four numbers, so that the drawing can be shown in every size`},
	{"two roots", svgBegin + "</svg>\n" + svgBegin + "</svg>", "f.yaml:4:5: a drawing has one svg element, this is a second one"},
	{"text outside", "x" + svgBegin + "</svg>", "f.yaml:3:5: only white space may stand outside the svg element"},
	{"another language", svgBegin + "\n<p xmlns='http://www.w3.org/1999/xhtml'/></svg>", "f.yaml:4:5: <p> is not of SVG: save the drawing as plain SVG"},
	{"document type", "<!DOCTYPE svg [<!ENTITY a 'b'>]>" + svgBegin + "</svg>", "f.yaml:3:5: a document type cannot stand in a drawing: leave <!...> out"},
	{"style sheet", "<?xml-stylesheet href='a'?>" + svgBegin + "</svg>", "f.yaml:3:5: <?xml-stylesheet?> cannot stand in a drawing"},
	{"not closed", svgBegin + "\n<g></svg>", "f.yaml:4:14: the drawing is not well-formed: element <g> closed by </svg>"},
	{"cut off", svgBegin + "\n<g", "f.yaml:5:1: the drawing is not well-formed: unexpected EOF"},
	{"entity", svgBegin + "<text>&a;</text></svg>", "f.yaml:3:74: the drawing is not well-formed: invalid character entity &a;"},
	{"empty", "", "f.yaml:2:8: the drawing is empty: it needs an svg element"},
}

func TestDrawings(t *testing.T) {
	for _, c := range drawings {
		t.Run(c.name, func(t *testing.T) {
			p, err := readProcedure("f.yaml", []byte(withDrawing(c.svg)))
			if c.want != "" {
				checkError(t, err, c.want)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if d := p.Drawing; d == nil || d.Type != "image/svg+xml" || d.Alt != "a ring in its groove" || string(d.Content) != c.svg+"\n" {
				t.Errorf("got %+v", d)
			}
		})
	}
}

// TestDrawingTooLarge holds the bound and its message.
func TestDrawingTooLarge(t *testing.T) {
	svg := svgBegin + "<desc>" + strings.Repeat("x", 200_000-len(svgBegin)-len("<desc></desc></svg>\n")) + "</desc></svg>"
	if _, err := readProcedure("f.yaml", []byte(withDrawing(svg))); err != nil {
		t.Errorf("200 kB: %v", err)
	}
	_, err := readProcedure("f.yaml", []byte(withDrawing(svg+" ")))
	checkError(t, err, "f.yaml:2:8: the drawing has 200001 bytes; at most 200000 are possible")
}

// TestImages: photographs in base64, on steps before and after fitting.
func TestImages(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 4, 3))
	var pngFile, jpegFile, wide bytes.Buffer
	if err := png.Encode(&pngFile, picture); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&jpegFile, picture, nil); err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(&wide, image.NewGray(image.Rect(0, 0, 8001, 1))); err != nil {
		t.Fatal(err)
	}
	encode := base64.StdEncoding.EncodeToString
	cases := []struct{ name, drawing, want string }{
		{"png", "{image: " + encode(pngFile.Bytes()) + ", type: png, alt: x}", ""},
		{"jpeg", "{image: " + encode(jpegFile.Bytes()) + ", type: jpeg, alt: x}", ""},
		{"spaced", "{image: \"" + encode(pngFile.Bytes())[:8] + "\n   " + encode(pngFile.Bytes())[8:] + "\", type: png, alt: x}", ""},
		{"wrong type", "{image: " + encode(pngFile.Bytes()) + ", type: jpeg, alt: x}", "f.yaml:1:18: the image does not begin as a jpeg does"},
		{"unknown type", "{image: " + encode(pngFile.Bytes()) + ", type: gif, alt: x}", `f.yaml:1:130: "gif" is not known here: use png, jpeg`},
		{"no type", "{image: " + encode(pngFile.Bytes()) + ", alt: x}", `f.yaml:1:10: "type" is missing`},
		{"cut off", "{image: " + encode(pngFile.Bytes()[:20]) + ", type: png, alt: x}", "f.yaml:1:18: the image is not a readable png: unexpected EOF"},
		{"not base64", "{image: \"data:image/png;base64,\", type: png, alt: x}", "f.yaml:1:18: the image is not base64: see its character 5"},
		{"too wide", "{image: " + encode(wide.Bytes()) + ", type: png, alt: x}", "f.yaml:1:18: the image is 8001 by 1 pixels; at most 8000 each way are possible"},
		{"too large", "{image: " + encode(make([]byte, 500_001)) + ", type: png, alt: x}", "f.yaml:1:18: the image has 500001 bytes; at most 500000 are possible"},
		{"nothing", "{alt: x}", "f.yaml:1:10: give exactly one of svg and image"},
		{"both", "{svg: x, image: x, alt: x}", "f.yaml:1:10: give exactly one of svg and image"},
		{"no words", "{image: " + encode(pngFile.Bytes()) + ", type: png}", `f.yaml:1:10: "alt" is missing`},
		{"empty words", "{image: " + encode(pngFile.Bytes()) + ", type: png, alt: ' '}", "f.yaml:1:140: say in words what the drawing shows, for those who do not see it"},
		{"type of an svg", "{svg: '" + strings.ReplaceAll(svgBegin, "'", "''") + "</svg>', alt: x, type: png}", "f.yaml:1:100: an svg has no other type: leave type out"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := readProcedure("f.yaml", []byte("drawing: "+c.drawing+"\n"+ring))
			if c.want == "" && err != nil {
				t.Fatal(err)
			}
			if c.want != "" {
				checkError(t, err, c.want)
			}
		})
	}
}

// TestDrawingsOfSteps: both kinds of steps carry one.
func TestDrawingsOfSteps(t *testing.T) {
	drawing := "drawing: {svg: '" + svgBegin + "</svg>', alt: x}"
	content := strings.Replace(ring, "depth: {", "depth: {"+drawing+", ", 1)
	content = strings.Replace(content, "end_play: {", "end_play: {"+drawing+", ", 1)
	p, err := readProcedure("f.yaml", []byte(content))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"depth", "end_play"} {
		if s, _, ok := p.Step(name); !ok || s.Drawing == nil || string(s.Drawing.Content) != svgBegin+"</svg>" {
			t.Errorf("step %s has the drawing %+v", name, s.Drawing)
		}
	}
	plain, err := readProcedure("f.yaml", []byte(ring))
	if err != nil {
		t.Fatal(err)
	}
	if plain.Hash == p.Hash || plain.Drawing != nil || plain.Measure[0].Drawing != nil {
		t.Error("the drawing does not count in the hash, or a procedure without one has one")
	}
}
