//go:build page

package pagetest

import (
	"context"
	"strings"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// command makes an action of a command of the browser's protocol.
func command[P, R any](c cdp.Command[P, R], params P) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, c, params)
		return err
	})
}

// hear notes what is never right: an exception in a script, a warning of the
// browser such as a refused inline style, a request to any other place.
func (s *screen) hear(event any) {
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		s.wrong("exception in the page: %+v", e.ExceptionDetails)
	case *log.EventEntryAdded:
		if e.Entry.Level != log.EntryLevelError && e.Entry.Level != log.EntryLevelWarning {
			return
		}
		s.mu.Lock()
		expected := e.Entry.Source == log.EntrySourceNetwork && s.expects
		s.mu.Unlock()
		if !expected {
			s.wrong("the browser says: %s (%s)", e.Entry.Text, e.Entry.URL)
		}
	case *network.EventRequestWillBeSent:
		if url := e.Request.URL; !strings.HasPrefix(url, s.url+"/") && !strings.HasPrefix(url, "data:") {
			s.wrong("the page asks another place: %s", url)
		}
	}
}
