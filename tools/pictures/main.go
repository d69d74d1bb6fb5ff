// Command pictures draws the house: it reads the table of packages of
// DEVELOPERS.md, which a test holds against the imports, and writes
// docs/house.svg. make generate runs it; with -o - it writes to the standard output.
package main

import (
	"flag"
	"fmt"
	"os"
)

func main() {
	out := flag.String("o", "docs/house.svg", "where the picture goes; - is the standard output")
	flag.Parse()
	if err := run(*out); err != nil {
		fmt.Fprintln(os.Stderr, "pictures:", err)
		os.Exit(1)
	}
}

func run(out string) error {
	table, err := os.ReadFile("DEVELOPERS.md")
	if err != nil {
		return err
	}
	floors, err := house(string(table))
	if err != nil {
		return err
	}
	if out == "-" {
		_, err = os.Stdout.Write(draw(floors))
		return err
	}
	return os.WriteFile(out, draw(floors), 0o644)
}
