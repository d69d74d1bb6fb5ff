package devices

import (
	"os"
	"testing"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(openInChild); path != "" {
		os.Exit(openAsOther(path))
	}
	goleak.VerifyTestMain(m)
}

// layout returns a shipped layout.
func layout(t testing.TB, name string) *Layout {
	t.Helper()
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	l, found := layouts.Find(name)
	if !found {
		t.Fatalf("layout %s is not shipped", name)
	}
	return l
}
