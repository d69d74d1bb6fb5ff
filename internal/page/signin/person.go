package signin

import (
	"cmp"
	"maps"
	"net/http"
	"net/url"
	"slices"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/page/memory"
)

// The fields of a form with which a person says who they are. They go no further.
const (
	personField = "person"
	secretField = "pin"
)

// Asked is what the pages of the desk show: "who" asks who somebody is, "pair" asks for the
// code of a device.
type Asked struct {
	Why    error    // it is asked; nil: it was wanted
	Person string   // who it was last; empty: nobody
	People []string // who can say that it is them
	Badges bool     // some of them carry a badge
	Action string   // where the form goes that says it
	Fields url.Values
	// Prepared is what is signed by that; nil: somebody signs in, and nothing else is done.
	Prepared *Prepared
	Code     string
	Title    string // of the device
}

// ask answers with a page that wants to know who it is. What was sent goes on from there.
func (d *Desk) ask(v *visit, why error) {
	who := Asked{Why: why, Person: v.caller.Name, Action: "/who", Fields: url.Values{}}
	switch {
	case v.acts():
		who.Action, who.Fields = v.r.URL.Path, maps.Clone(v.r.PostForm)
		who.Prepared = preparedOf(v.way, v.r, v.caller.Name)
		who.Fields.Set(sealField, d.seals.seal(v.device.ID, v.r.URL.Path, v.r.PostForm, d.o.Guard.Now()))
	case v.r.URL.Path != "/who" && v.here != "":
		who.Fields.Set(lookField, v.r.URL.RequestURI())
	case v.r.URL.Path != "/who":
		who.Fields.Set("at", v.r.URL.RequestURI())
	case v.r.PostForm.Get(lookField) != "":
		who.Fields.Set(lookField, v.r.PostForm.Get(lookField))
	default: // to sign in, and go on there
		who.Fields.Set("at", v.r.FormValue("at"))
	}
	for _, p := range d.o.Guard.Register().People() {
		if p.Role.Has(v.need.Right) && (p.PIN != "" || p.Badge != "") {
			who.People = append(who.People, p.Name)
			who.Badges = who.Badges || p.Badge != ""
		}
	}
	status := http.StatusUnauthorized
	if v.r.URL.Path == "/who" && v.r.Method == http.MethodGet {
		status = http.StatusOK
	}
	r := v.r
	if v.device.ID != "" { // the page says who is signed in
		here := access.Caller{Door: access.DoorDevice, Device: v.device.ID, Name: v.here, Role: access.RoleReader}
		r = r.WithContext(access.With(r.Context(), here))
	}
	d.o.Ask(v.w, r, status, "who", who)
}

// acts reports whether a form does more than to say who somebody is.
func (v *visit) acts() bool {
	looks := []access.Right{access.RightNobodys, access.RightAnyones, access.RightRead}
	return v.r.Method == http.MethodPost && !slices.Contains(looks, v.need.Right)
}

// prove finds out whether it is true when a form says who somebody is. Somebody else who
// signs one act, or looks at one page, does that alone: who works on the device stays.
func (d *Desk) prove(v *visit) error {
	name, secret := v.r.PostForm.Get(personField), v.r.PostForm.Get(secretField)
	_, given := v.r.PostForm[secretField]
	seal := v.r.PostForm.Get(sealField)
	for _, field := range []string{personField, secretField, sealField} {
		delete(v.r.PostForm, field)
		delete(v.r.Form, field)
	}
	if !given {
		return nil
	}
	now := d.o.Guard.Now()
	if v.acts() {
		if err := d.seals.check(seal, v.device.ID, v.r.URL.Path, v.r.PostForm, now); err != nil {
			return err
		}
	}
	p, err := d.judge(v.device.ID, name, secret, now)
	if err != nil {
		return err
	}
	v.proven, v.caller.Name, v.caller.Role = true, p.Name, p.Role
	if p.Name == v.here || v.signsIn() {
		d.setCookie(v.w, v.r, sessionCookie, d.sessions.Begin(p, v.device.ID, now), 0)
	}
	return nil
}

// atDevice refuses what only somebody at a paired device does.
func (d *Desk) atDevice(w http.ResponseWriter, r *http.Request) (access.Caller, bool) {
	caller, _ := access.From(r.Context())
	if caller.Door != access.DoorDevice {
		d.o.Fail(w, r, gauge.Forbidden("refusal.access.not-paired"))
		return caller, false
	}
	return caller, true
}

// showWho asks who works on the device now.
func (d *Desk) showWho(w http.ResponseWriter, r *http.Request) {
	caller, ok := d.atDevice(w, r)
	if !ok {
		return
	}
	d.ask(&visit{w: w, r: r, caller: caller, need: access.Need{Right: access.RightRead}}, nil)
}

// enter goes on to where somebody wanted to go who has said who they are.
func (d *Desk) enter(w http.ResponseWriter, r *http.Request) {
	if _, ok := d.atDevice(w, r); ok {
		http.Redirect(w, r, memory.OwnPath(cmp.Or(r.PostFormValue("at"), r.PostFormValue(lookField))), http.StatusSeeOther)
	}
}

// leave has nobody at the device.
func (d *Desk) leave(w http.ResponseWriter, r *http.Request) {
	caller, ok := d.atDevice(w, r)
	if !ok {
		return
	}
	d.sessions.Leave(caller.Device)
	d.setCookie(w, r, sessionCookie, "", -1)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
