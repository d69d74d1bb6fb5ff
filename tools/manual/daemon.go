package main

import (
	"strings"
)

// daemon is the page of gauged, from what it prints with --help: a text, and then
// parts whose headings end with a colon.
func daemon(help string) []byte {
	r := newPage("gauged", "8", "the daemon of a measuring bench")
	r.section("DESCRIPTION")
	var body strings.Builder
	flush := func() {
		r.text(body.String())
		body.Reset()
	}
	for line := range strings.Lines(help) {
		if heading, ok := strings.CutSuffix(strings.TrimRight(line, "\n"), ":"); ok && !strings.HasPrefix(line, " ") {
			flush()
			r.section(strings.ToUpper(heading))
			continue
		}
		body.WriteString(line)
	}
	flush()
	r.section("SEE ALSO")
	r.line(`\fBgaugectl\fR(1), \fBgauged\-station\fR(5)`)
	return r.Bytes()
}
