// Command refusals writes the tables of docs/refusals.md: what the daemon refuses, and the
// codes of its findings and other messages, from the source and the catalogue of texts.
// make generate runs it; what stands in the page before the tables is written by hand.
package main

import (
	"fmt"
	"os"
)

const page = "docs/refusals.md"

func main() {
	if err := run("."); err != nil {
		fmt.Fprintln(os.Stderr, "refusals:", err)
		os.Exit(1)
	}
}

// run writes the page of the project that lies in a directory anew.
func run(root string) error {
	file := root + "/" + page
	before, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	after, err := written(root, string(before))
	if err != nil {
		return err
	}
	return os.WriteFile(file, []byte(after), 0o644)
}
