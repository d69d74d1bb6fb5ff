//go:build page

// Package pagetest uses the bench page in a real browser, in front of the real
// daemon with simulated gauges on pseudo-terminals. make test-page builds the
// daemon and installs what is needed; screenshots go to bin/page-test.
package pagetest

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

const (
	built = "../../bin"           // the daemon
	kept  = "../../bin/page-test" // what the tests leave behind, and what npm installed
)

// within is how long anything may take that is waited for. It is many times
// what a busy machine needs, so that only what never happens fails.
const within = 20 * time.Second

// browser is the context of the one browser that all tests share; each screen
// has a profile of its own in it.
var browser context.Context

func TestMain(m *testing.M) { os.Exit(run(m)) }

func run(m *testing.M) int {
	allocator, cancel := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("enable-precise-memory-info", true), chromedp.Flag("js-flags", "--expose-gc"),
	)...)
	defer cancel()
	var stop context.CancelFunc
	browser, stop = chromedp.NewContext(allocator)
	defer stop()
	if err := chromedp.Do(browser); err != nil {
		fmt.Fprintln(os.Stderr, "the browser does not start (tools/setup.sh page installs it):", err)
		return 1
	}
	return m.Run()
}
