package devices

import (
	"flag"
	"os"
	"testing"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(openInChild); path != "" {
		os.Exit(openAsOther(path))
	}
	// Recordings play in their own time and hardly need a processor.
	flag.Parse()
	if err := flag.Set("test.parallel", "16"); err != nil {
		panic(err)
	}
	goleak.VerifyTestMain(m)
}
