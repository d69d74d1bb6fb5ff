package main

import (
	"fmt"
	"os"
	"time"
)

const heading = `# Figures

What the program claims about rates, and the simulation behind each claim. ` + "`make figures`" + ` makes this file again,
with the same seeds and the same numbers. A test runs a part of every simulation and holds what is promised.

`

// main writes the document that it is given, and ends with 1 when a promise is
// not kept.
func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: figures docs/figures.md")
		os.Exit(2)
	}
	text, broken := heading, 0
	for i, s := range sorted() {
		begin := time.Now()
		rows := s.run(false)
		fmt.Printf("%s: %s\n", s.name, time.Since(begin).Round(time.Second))
		for _, r := range rows {
			if !r.kept() {
				broken++
				fmt.Fprintf(os.Stderr, "not kept: %s: %s, promised %s\n", r.what, r.found, r.promise)
			}
		}
		if i > 0 {
			text += "\n"
		}
		text += s.section(rows)
	}
	if err := os.WriteFile(os.Args[1], []byte(text), 0o644); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	if broken > 0 {
		os.Exit(1)
	}
}
