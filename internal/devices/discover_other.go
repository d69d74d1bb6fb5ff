//go:build !linux

package devices

import "errors"

var errNoListing = errors.New("what is plugged in is listed on Linux only")

// Discover says that nothing can be listed on this system.
func Discover(string) (*Listing, error) { return nil, errNoListing }

// Assign does nothing: there is no listing on this system.
func (l *Listing) Assign(string, []Gauge) {}
