//go:build !linux

package devices

import "context"

// Run waits until ctx ends: ports are looked for now and then.
func (p *Ports) Run(ctx context.Context) error {
	<-ctx.Done()
	return nil
}
