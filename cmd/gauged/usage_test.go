package main

import (
	"flag"
	"io"
	"strings"
	"testing"
)

// TestUsageNamesTheFlags: what --help prints explains each flag that there is, and each
// exit code.
func TestUsageNamesTheFlags(t *testing.T) {
	flags, _ := newFlags(io.Discard)
	n := 0
	flags.VisitAll(func(f *flag.Flag) {
		n++
		if !strings.Contains(usage, "\n  --"+f.Name+" ") {
			t.Errorf("--%s is not explained", f.Name)
		}
	})
	if explained := strings.Count(usage, "\n  --"); explained != n {
		t.Errorf("%d flags are explained, there are %d", explained, n)
	}
	for _, code := range []string{"0 ", "1 ", "2 ", "78"} {
		if !strings.Contains(usage, "\n  "+code+" ") {
			t.Errorf("the exit code %s is not explained", code)
		}
	}
	var stdout, stderr strings.Builder
	if code := run(t.Context(), []string{"--help"}, &stdout, &stderr, func(string) string { return "" }); code != exitFine || stdout.String() != usage || stderr.Len() > 0 {
		t.Errorf("--help: code %d, %q, %q", code, stdout.String(), stderr.String())
	}
}
