package signin

import (
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// judge returns who proves on a device to be a person, or with a badge to be whose it is: then
// name is empty. Who guesses waits: on a device whomever they try to be, for one person on all
// devices, and for badges on all devices, because a guess there is one at everybody's. Who is
// right takes their own wrong tries back, and nobody else's: else whoever has a PIN guesses at
// badges as fast as they like.
func (d *Desk) judge(device, name, secret string, now time.Time) (access.Person, error) {
	defer d.keep()
	register := d.o.Guard.Register()
	known := name
	if _, there := register.Person(name); !there {
		known = "" // whoever guesses names does not push out what is remembered of others
	}
	wait, spareDevice := d.devices.Try(device, now)
	if wait > 0 {
		return access.Person{}, tooMany(wait)
	}
	wait, sparePerson := d.people.Try(known, now)
	if wait > 0 {
		spareDevice(0)
		return access.Person{}, tooMany(wait)
	}
	p, ok := register.Prove(name, secret)
	if !ok {
		d.devices.Begin(here(device, known), now)
		return access.Person{}, gauge.UnknownCaller("refusal.access.wrong")
	}
	own := d.devices.Wrong(here(device, p.Name), now)
	d.devices.Right(here(device, p.Name))
	spareDevice(own)
	sparePerson(0)
	d.people.Right(p.Name)
	return p, nil
}

// here is what is remembered of somebody on one device.
func here(device, name string) string { return device + "/" + name }

// tooMany says how long somebody waits, in whole seconds that are never too few.
func tooMany(wait time.Duration) error {
	return gauge.UnknownCaller("refusal.access.wait", gauge.Span("wait", (wait+time.Second-1).Truncate(time.Second)))
}
