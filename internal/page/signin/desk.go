// Package signin is the desk at the door of the pages: a device is let in once it is paired,
// a person says who they are by PIN or badge, and says so again where something is signed,
// released or put out of service. What may be done by whom stands in the table of package
// access.
package signin

import (
	"context"
	"net/http"
	"strings"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// Options is what a desk is made from.
type Options struct {
	Guard   *access.Guard   // knows who comes
	Pairing *access.Pairing // the code with which a device may come in
	Tries   string          // file in which wrong tries are remembered; empty: a restart forgets them
	// Ask shows a page of the desk: who or pair.
	Ask func(w http.ResponseWriter, r *http.Request, status int, page string, content Asked)
	// Fail tells why a request is refused.
	Fail func(w http.ResponseWriter, r *http.Request, err error)
}

// Desk lets requests in. Make it with New.
type Desk struct {
	o        Options
	sessions access.Sessions
	devices  access.Tries // to be a person, by device, and there by person
	people   access.Tries // the same, by person: on many devices they are not more; badges, which name nobody, together
	codes    access.Tries // of pairing, by address
	kept     *access.KeptTries
	seals    seals // of what is shown to who signs it
}

// New returns a desk.
func New(o Options) *Desk {
	d := &Desk{o: o, devices: access.Tries{Free: 3}, people: access.Tries{Free: 10}, codes: access.Tries{Free: 5}, seals: newSeals()}
	var err error
	now := time.Now
	if o.Guard != nil && o.Guard.Now != nil {
		now = o.Guard.Now
	}
	d.kept, err = access.KeepTries(o.Tries, map[string]*access.Tries{"devices": &d.devices, "people": &d.people, "codes": &d.codes}, now())
	d.cannotKeep(err)
	return d
}

// keep remembers the tries.
func (d *Desk) keep() { d.cannotKeep(d.kept.Keep()) }

func (d *Desk) cannotKeep(err error) {
	if err != nil && d.o.Guard.Log != nil {
		d.o.Guard.Log.Error("wrong tries are not remembered over a restart", "err", err)
	}
}

// Routes are the desk's own addresses.
func (d *Desk) Routes(mux *http.ServeMux) {
	if d.o.Guard.Open() {
		return
	}
	mux.HandleFunc("GET /pair", d.showPair)
	mux.HandleFunc("POST /pair", d.pair)
	mux.HandleFunc("GET /who", d.showWho)
	mux.HandleFunc("POST /who", d.enter)
	mux.HandleFunc("POST /leave", d.leave)
}

// visit is a request on its way in.
type visit struct {
	w      http.ResponseWriter
	r      *http.Request
	way    access.Way
	need   access.Need
	device access.Device
	caller access.Caller
	here   string // is signed in on the device; empty: nobody
	proven bool   // the person has just said who they are
}

// Guard lets requests for the routes of mux in, as the table says.
func (d *Desk) Guard(mux *http.ServeMux) http.Handler {
	if d.o.Guard.Open() {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			mux.ServeHTTP(w, r.WithContext(access.With(r.Context(), access.Nobody())))
		})
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_, pattern := mux.Handler(r)
		v := &visit{w: w, r: r, way: access.Page(pattern)}
		v.need, _ = access.Needs(v.way)
		if !d.identify(v) {
			return
		}
		if look := v.glimpse(); look != nil {
			_, pattern = mux.Handler(look)
			v.r, v.way = look, access.Page(pattern)
			v.need, _ = access.Needs(v.way)
		}
		if !d.admit(v) {
			return
		}
		ctx := withHere(access.With(v.r.Context(), v.caller), v.here)
		if strings.HasSuffix(pattern, "/stream") {
			var stop context.CancelFunc
			ctx, stop = d.while(ctx, v)
			defer stop()
		}
		mux.ServeHTTP(w, sign(v.r.WithContext(ctx), v.caller))
	})
}

// identify finds out who comes. What it cannot, it answers.
func (d *Desk) identify(v *visit) bool {
	register := d.o.Guard.Register()
	if strings.HasPrefix(v.r.Header.Get("Authorization"), "Bearer ") {
		caller, err := d.o.Guard.Shown(v.r.Header.Values("Authorization"))
		if err == nil {
			err = v.read()
		}
		if err != nil {
			d.refuse(v, "a token", err)
			return false
		}
		v.caller, v.proven = caller, true
		return true
	}
	device, err := register.Device(d.cookie(v.r, deviceCookie))
	if err != nil {
		return true // a device that is not paired: nobody
	}
	v.device, v.caller = device, access.Caller{Door: access.DoorDevice, Device: device.ID, Role: access.RoleReader}
	act := v.r.Method == http.MethodPost
	if act {
		if err := v.read(); err != nil {
			d.o.Fail(v.w, v.r, err)
			return false
		}
	}
	here, signedIn := d.sessions.Person(register, d.cookie(v.r, sessionCookie), device.ID, act, d.o.Guard.Now())
	if signedIn {
		v.here, v.caller.Name, v.caller.Role = here.Name, here.Name, here.Role
	}
	if !act {
		return true
	}
	if err := d.prove(v); err != nil {
		d.o.Guard.Refused(device.Title, v.way, err)
		d.ask(v, err)
		return false
	}
	return true
}

// read reads the form of an act, whose length the guard of all pages bounds.
func (v *visit) read() error {
	if err := v.r.ParseForm(); err != nil {
		return gauge.AsInput(err)
	}
	return nil
}

// refuse tells why somebody is refused, and has it kept.
func (d *Desk) refuse(v *visit, subject string, why error) {
	d.o.Guard.Refused(subject, v.way, why)
	d.o.Fail(v.w, v.r, why)
}

// admit lets who was identified go on, or answers with what is missing.
func (d *Desk) admit(v *visit) bool {
	way := v.way
	if save, ok := saved(v.r, way); ok {
		way, v.need.Proof = save, true
	}
	switch err := v.caller.Allow(way); {
	case err == nil && v.need.Proof && !v.proven:
		d.ask(v, gauge.UnknownCaller("refusal.access.prove"))
	case err == nil:
		return true
	case v.caller.Door == "":
		d.unpaired(v)
	case v.caller.Door == access.DoorDevice && v.caller.Name != "":
		d.o.Guard.Refused(v.caller.Name, way, err)
		d.ask(v, err)
	case v.caller.Door == access.DoorDevice && v.caller.Name == "":
		d.ask(v, gauge.UnknownCaller("refusal.access.no-person"))
	default:
		d.refuse(v, v.caller.Name, err)
	}
	return false
}

// saved is the way of saving a file that is edited: looking at what a change would do
// needs less.
func saved(r *http.Request, way access.Way) (access.Way, bool) {
	kind, edits := map[string]string{"POST /procedures/{id}/edit": "procedure", "POST /parts/{id}/edit": "parts"}[way.Name]
	return access.EditOf(kind), edits && r.PostFormValue("do") == "save"
}

// while ends a stream when its device is paired no more, when the session ends in which it
// was opened, and when the token does that it was opened with.
func (d *Desk) while(ctx context.Context, v *visit) (context.Context, context.CancelFunc) {
	ctx, stop := context.WithCancel(ctx)
	d.o.Guard.Watch(ctx, func() error { return d.still(v) }, func(error) { stop() })
	return ctx, stop
}

// errLeft is that a session has ended.
var errLeft = gauge.UnknownCaller("refusal.access.no-person")

// still refuses a visitor who is here no more.
func (d *Desk) still(v *visit) error {
	if v.device.ID == "" {
		return d.o.Guard.Still(v.caller)
	}
	register := d.o.Guard.Register()
	if !register.Paired(v.device.ID) {
		return gauge.UnknownCaller("refusal.access.device-unpaired", gauge.Text("title", v.device.Title))
	}
	if v.caller.Name == "" {
		return nil
	}
	here, ok := d.sessions.Person(register, d.cookie(v.r, sessionCookie), v.device.ID, false, d.o.Guard.Now())
	if !ok || here.Name != v.caller.Name {
		return errLeft
	}
	return nil
}

// sign has a form say the name that was proven, whatever it said itself.
func sign(r *http.Request, c access.Caller) *http.Request {
	if r.Method != http.MethodPost || c.Name == "" {
		return r
	}
	for _, field := range []string{"by", "technician"} {
		r.PostForm.Set(field, c.Name)
		r.Form.Set(field, c.Name)
	}
	return r
}
