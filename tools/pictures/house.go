package main

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// room is a package with those below it in its directory.
type room struct {
	name  string
	parts []string // names of the packages below it, without its own
	on    []string // rooms that it imports
	all   bool     // it may import any room
}

// house reads the table of packages and puts each room on a floor: it imports
// from floors below its own alone. The lowest floor is the first.
func house(document string) (floors [][]*room, err error) {
	rooms := map[string]*room{}
	imports := map[string][]string{}
	for line := range strings.Lines(document) {
		cells := strings.Split(line, "|")
		if len(cells) != 6 {
			continue
		}
		for _, m := range regexp.MustCompile("`([a-z0-9/-]+)`").FindAllStringSubmatch(cells[1], -1) {
			path := strings.TrimPrefix(m[1], "internal/")
			name, part := roomOf(path)
			if rooms[name] == nil {
				rooms[name] = &room{name: name}
			}
			if part != "" {
				rooms[name].parts = append(rooms[name].parts, part)
			}
			for imported := range strings.SplitSeq(strings.TrimSpace(cells[3]), ", ") {
				switch imported {
				case "none", "":
				case "all":
					rooms[name].all = true
				default:
					imports[name] = append(imports[name], imported)
				}
			}
		}
	}
	if len(rooms) < 8 {
		return nil, fmt.Errorf("the table of DEVELOPERS.md has %d rooms", len(rooms))
	}
	for name, r := range rooms {
		for _, imported := range imports[name] {
			if other, _ := roomOf(imported); other != name && !slices.Contains(r.on, other) {
				if rooms[other] == nil {
					return nil, fmt.Errorf("%s imports %s, which has no row", name, imported)
				}
				r.on = append(r.on, other)
			}
		}
		slices.Sort(r.on)
		slices.Sort(r.parts)
	}
	return stack(rooms)
}

// roomOf is the room of a package, and its name in it; "" is the room itself.
func roomOf(path string) (name, part string) {
	if strings.HasPrefix(path, "api/") {
		return "api", ""
	}
	name, part, _ = strings.Cut(path, "/")
	return name, part
}

// stack puts the rooms on floors, each as low as what it imports lets it be.
// What may import all is under the roof.
func stack(rooms map[string]*room) (floors [][]*room, err error) {
	left := maps.Clone(rooms)
	var roof []*room
	for name, r := range rooms {
		if r.all {
			roof = append(roof, r)
			delete(left, name)
		}
	}
	for len(left) > 0 {
		var floor []*room
		for _, r := range left {
			if !slices.ContainsFunc(r.on, func(on string) bool { return left[on] != nil }) {
				floor = append(floor, r)
			}
		}
		if len(floor) == 0 {
			return nil, fmt.Errorf("these import each other in a circle: %s", strings.Join(slices.Sorted(maps.Keys(left)), ", "))
		}
		for _, r := range floor {
			delete(left, r.name)
		}
		floors = append(floors, floor)
	}
	floors = append(floors, roof)
	for _, floor := range floors {
		slices.SortFunc(floor, func(a, b *room) int { return strings.Compare(a.name, b.name) })
	}
	return floors, nil
}
