// Package proof answers for a station whether its history is what was stored: its signed
// head, walks along its chain, and verified copies.
package proof

import (
	"context"
	"crypto/ed25519"
	"path/filepath"
	"sync/atomic"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/history/chain"
)

// Store is the history as what proves itself.
type Store interface {
	// Head is where it ends, signed in the name of a station.
	Head(station string, now time.Time) chain.Head
	// PublicKey is that of the station's key.
	PublicKey() ed25519.PublicKey
	// Found is what a quick look found when the history was opened.
	Found() []string
	// InPlace gives an error when the file that is written is not the one at its path.
	InPlace() error
	// Verify walks along the chain.
	Verify(ctx context.Context, heads ...chain.Head) (*chain.Verification, error)
	// Sign signs a head.
	Sign(h chain.Head) chain.Head
	// Backup writes a copy, verifies it and returns its size.
	Backup(ctx context.Context, path string) (*chain.Verification, int64, error)
}

// Archive is the history of a station.
type Archive struct {
	store Store
	name  string // of the station
	now   func() time.Time

	failed  atomic.Pointer[error] // the last commit; nil: it went well
	walking chan struct{}         // has room for the one that walks along the chain
}

// New returns the archive of a station with a name.
func New(store Store, name string, now func() time.Time) *Archive {
	return &Archive{store: store, name: name, now: now, walking: make(chan struct{}, 1)}
}

// Head is where the history ends now, signed by the station.
func (a *Archive) Head() chain.Head { return a.store.Head(a.name, a.now()) }

// PublicKey is the public half of the station's key.
func (a *Archive) PublicKey() ed25519.PublicKey { return a.store.PublicKey() }

// VerifyHistory walks along the chain of the history and compares it with the heads that are
// in a text; without a text with none. signed is whether all are of this station; nil: none
// has a signature.
func (a *Archive) VerifyHistory(ctx context.Context, head string) (v *chain.Verification, signed *bool, err error) {
	var heads []chain.Head
	if head != "" {
		if heads, err = chain.ParseHeads(head); err != nil {
			return nil, nil, gauge.WrongInput("refusal.history.no-head", gauge.Because("why", err))
		}
	}
	select { // one walk after the other, so that other reads have the rest of the machine
	case a.walking <- struct{}{}:
		defer func() { <-a.walking }()
	case <-ctx.Done():
		return nil, nil, ctx.Err()
	}
	if len(heads) > 0 {
		signed = chain.Signed(heads, a.PublicKey())
	}
	v, err = a.store.Verify(ctx, heads...)
	return v, signed, err
}

// BackUpHistory writes a copy of the history to a path that is absolute and where nothing
// is yet, and returns its head and size in bytes.
func (a *Archive) BackUpHistory(ctx context.Context, path string) (head chain.Head, size int64, err error) {
	if !filepath.IsAbs(path) {
		return head, 0, gauge.WrongInput("refusal.history.backup-path", gauge.Text("path", path))
	}
	v, size, err := a.store.Backup(ctx, path)
	if err != nil {
		return head, 0, gauge.Refused("refusal.history.backup", gauge.Text("path", path), gauge.Because("why", err))
	}
	return a.store.Sign(chain.Head{Seq: v.Facts, Time: a.now(), Digest: v.Digest[:], Station: a.name}), size, nil
}

// Committed hears how a commit ended.
func (a *Archive) Committed(err error) {
	if err == nil {
		a.failed.Store(nil)
		return
	}
	a.failed.Store(&err)
}

// Troubles is what is wrong with the history and its disk now.
func (a *Archive) Troubles() (all []gauge.Message) {
	if err := a.failed.Load(); err != nil {
		all = append(all, gauge.Say("trouble.history.not-stored", gauge.Text("why", (*err).Error())))
	}
	if err := a.store.InPlace(); err != nil {
		all = append(all, gauge.Say("trouble.history.moved", gauge.Text("why", err.Error())))
	}
	for _, what := range a.store.Found() {
		all = append(all, gauge.Say("trouble.history.found", gauge.Text("what", what)))
	}
	return all
}
