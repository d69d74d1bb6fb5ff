package memory

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// Of so many people a device remembers that they worked on it; and the gauges of a
// procedure are remembered up to so many bytes.
const (
	mostPeople = 6
	mostGauges = 1500
)

// People are who worked on this device, the last one first.
func People(r *http.Request) []string {
	c, err := r.Cookie("people")
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(strings.Split(decoded(c.Value), "\n"), func(name string) bool { return strings.TrimSpace(name) == "" })
}

// Person is who was it last on this device; empty when nobody said.
func Person(r *http.Request) string {
	for _, name := range People(r) {
		return name
	}
	return ""
}

// KeepPerson keeps on the device who works on it now.
func KeepPerson(w http.ResponseWriter, r *http.Request, name string) {
	names := slices.DeleteFunc(People(r), func(known string) bool { return known == name })
	names = append([]string{name}, names...)
	http.SetCookie(w, cookie("people", encoded(strings.Join(names[:min(len(names), mostPeople)], "\n"))))
}

// KeepGauges keeps on the device with which gauges a procedure was followed, by
// measurement; an empty name: its readings were typed in.
func KeepGauges(w http.ResponseWriter, procedure string, gauges map[string]string) {
	all := url.Values{}
	for step, id := range gauges {
		all.Set(step, id)
	}
	if kept := all.Encode(); kept != "" && len(kept) <= mostGauges {
		http.SetCookie(w, cookie(gaugesOf(procedure), encoded(kept)))
	}
}

// Gauges are those of a procedure when it was used last on this device, by measurement;
// nil: nothing is known.
func Gauges(r *http.Request, procedure string) map[string]string {
	c, err := r.Cookie(gaugesOf(procedure))
	if err != nil {
		return nil
	}
	kept, err := url.ParseQuery(decoded(c.Value))
	if err != nil {
		return nil
	}
	gauges := map[string]string{}
	for step := range kept {
		gauges[step] = kept.Get(step)
	}
	return gauges
}

func gaugesOf(procedure string) string { return "gauges." + url.PathEscape(procedure) }
