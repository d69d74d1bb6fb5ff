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
	// Recordings play in their own time and hardly need a processor. Who fuzzes needs one each.
	flag.Parse()
	if flag.Lookup("test.fuzz").Value.String() == "" {
		if err := flag.Set("test.parallel", "16"); err != nil {
			panic(err)
		}
	}
	goleak.VerifyTestMain(m)
}
