// Command manual writes the manual pages: those of gaugectl from its commands, that of
// gauged from what it prints with --help, and those of the files from docs. make man
// runs it, so that they are never older than what they are about.
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"gauged/internal/cli"
)

func main() {
	out := flag.String("o", "bin/man", "the directory that the pages go to")
	flag.Parse()
	if err := run(".", *out); err != nil {
		fmt.Fprintln(os.Stderr, "manual:", err)
		os.Exit(1)
	}
}

// edited is the day that the pages show. A release sets it.
const edited = "2026-11-30"

// fileFormats are the pages about files, with what each is about.
var fileFormats = []struct{ doc, name, about string }{
	{"station", "gauged-station", "the configuration of a station"},
	{"layouts", "gauged-layout", "how the bytes of a gauge become a value"},
	{"procedures", "gauged-procedure", "procedures and part families of a shop"},
	{"tables", "gauged-tables", "how CSV files are read and written"},
}

func run(root, out string) error {
	all, err := pages(root)
	if err != nil {
		return err
	}
	for name, content := range all {
		path := filepath.Join(out, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, content, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// pages are the pages by their place, such as man1/gaugectl.1.
func pages(root string) (map[string][]byte, error) {
	all := map[string][]byte{}
	tree := cli.Tree()
	all["man1/gaugectl.1"] = gaugectl(tree)
	for _, cmd := range documented(tree) {
		all["man1/gaugectl-"+cmd.Name()+".1"] = command(cmd)
	}
	cmd := exec.Command("go", "run", "./cmd/gauged", "--help")
	cmd.Dir = root
	help, err := cmd.CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("gauged --help: %w: %s", err, help)
	}
	all["man8/gauged.8"] = daemon(string(help))
	for _, f := range fileFormats {
		page, err := os.ReadFile(filepath.Join(root, "docs", f.doc+".md"))
		if err != nil {
			return nil, err
		}
		all["man5/"+f.name+".5"] = fileFormat(f.name, f.about, string(page))
	}
	return all, nil
}
