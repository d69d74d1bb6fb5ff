package history_test

import (
	"os"
	"testing"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(childVariable); path != "" {
		os.Exit(appendUntilKilled(path))
	}
	goleak.VerifyTestMain(m)
}
