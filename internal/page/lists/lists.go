// Package lists parts long lists, leads from a part to its neighbours, and reads what a list is asked for.
package lists

import (
	"net/url"
	"strconv"
)

// Pager leads from a part of a list, whose newest come first, to its neighbours.
type Pager struct {
	Newer, Older string // addresses; empty: there is nothing there
}

// PartOf is the part of a list with a number, from 0, and how to get to its neighbours: the
// address has the number under a name, and a place on the page.
func PartOf[E any](all []E, part uint64, most int, path, name, place string, others ...string) ([]E, Pager) {
	var p Pager
	address := func(part uint64) string {
		return Address(path, append(others, name, strconv.FormatUint(part, 10))...) + place
	}
	part = min(part, uint64(max(len(all)-1, 0)/most))
	if part > 0 {
		p.Newer = address(part - 1)
	}
	all = all[int(part)*most:]
	if len(all) > most {
		all, p.Older = all[:most], address(part+1)
	}
	return all, p
}

// Address is an address with those of the names that have a value.
func Address(path string, names ...string) string {
	values := url.Values{}
	for i := 0; i+1 < len(names); i += 2 {
		if names[i+1] != "" && names[i+1] != "0" {
			values.Set(names[i], names[i+1])
		}
	}
	if len(values) == 0 {
		return path
	}
	return path + "?" + values.Encode()
}

// Number is a number in an address; what is none is 0.
func Number(text string) uint64 {
	n, _ := strconv.ParseUint(text, 10, 64)
	return n
}
