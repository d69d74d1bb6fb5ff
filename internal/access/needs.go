package access

import (
	"maps"
	"slices"
	"strings"
)

// Place is where a way leads in.
type Place string

// The places.
const (
	PlaceCall    Place = "call"    // a method of gRPC, by its full name
	PlacePage    Place = "page"    // a route of the bench page, as its mux has it
	PlaceMetrics Place = "metrics" // a route of the metrics, as their mux has it
	PlaceFile    Place = "file"    // a kind of file that is edited
	PlaceHTTP    Place = "http"    // the calls over HTTP, before it is looked at which one
)

// Way is one thing that can be asked for.
type Way struct {
	Place Place
	Name  string
}

// Call is the way of a method of gRPC.
func Call(method string) Way { return Way{PlaceCall, method} }

// Page is the way of a route of the bench page.
func Page(pattern string) Way { return Way{PlacePage, pattern} }

// Metrics is the way of a route of the metrics.
func Metrics(pattern string) Way { return Way{PlaceMetrics, pattern} }

// HTTP is the way to the calls over HTTP.
func HTTP() Way { return Way{PlaceHTTP, "/v1"} }

// EditOf is the way of editing a kind of file.
func EditOf(kind string) Way { return Way{PlaceFile, kind} }

// Need is what a way needs.
type Need struct {
	Right Right
	// Proof: the person says again who they are, because it is signed, released, or
	// puts something out of service. A caller whose secret comes with each call has
	// proven it by that.
	Proof bool
}

// The needs that the table has.
var (
	open    = Need{Right: RightAnyones}
	read    = Need{Right: RightRead}
	feed    = Need{Right: RightFeed}
	work    = Need{Right: RightWork}
	sign    = Need{Right: RightWork, Proof: true}
	lead    = Need{Right: RightLead}
	decide  = Need{Right: RightLead, Proof: true}
	oversee = Need{Right: RightGovern}
	govern  = Need{Right: RightGovern, Proof: true}
)

// needs is the one table of who may do what. What does not stand in it is refused.
var needs = together(callNeeds, pageNeeds, map[Way]Need{
	Metrics("GET /metrics"): read,
	Metrics("GET /{$}"):     read,
	Metrics("GET /healthz"): open,
	EditOf("procedure"):     decide,
	EditOf("parts"):         decide,
})

// Needs returns what a way needs, and false for one that is not in the table.
func Needs(w Way) (Need, bool) {
	n, ok := needs[w]
	return n, ok
}

// Ways are all ways of a place in the table, in order.
func Ways(p Place) (ways []Way) {
	for w := range needs {
		if w.Place == p {
			ways = append(ways, w)
		}
	}
	slices.SortFunc(ways, func(a, b Way) int { return strings.Compare(a.Name, b.Name) })
	return ways
}

func together(tables ...map[Way]Need) map[Way]Need {
	all := map[Way]Need{}
	for _, t := range tables {
		maps.Copy(all, t)
	}
	return all
}

// each gives several ways of a place one need; the texts are words of names, with what
// stands before all of them.
func each(place Place, before string, need map[Need]string) map[Way]Need {
	table := map[Way]Need{}
	for n, names := range need {
		for name := range strings.FieldsSeq(names) {
			table[Way{place, before + name}] = n
		}
	}
	return table
}
