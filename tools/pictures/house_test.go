package main

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestFloors: each room of the house stands above what it imports.
func TestFloors(t *testing.T) {
	table, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	floors, err := house(string(table))
	if err != nil {
		t.Fatal(err)
	}
	below := map[string]bool{}
	for _, floor := range floors[:len(floors)-1] {
		for _, r := range floor {
			for _, on := range r.on {
				if !below[on] {
					t.Errorf("%s imports %s, which is on no floor below", r.name, on)
				}
			}
		}
		for _, r := range floor {
			below[r.name] = true
		}
	}
	if len(floors) < 5 {
		t.Errorf("only %d floors", len(floors))
	}
}

// TestPackagesOfThePicture: the way of a reading names packages of the table.
func TestPackagesOfThePicture(t *testing.T) {
	table, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	picture, err := os.ReadFile("../../docs/reading.svg")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`class="pkg"[^>]*>([^<]*)<`).FindAllStringSubmatch(string(picture), -1)
	for _, m := range named {
		if !strings.Contains(string(table), "| `"+m[1]+"` |") {
			t.Errorf("docs/reading.svg names %s, which has no row in the table of DEVELOPERS.md", m[1])
		}
	}
	if len(named) < 6 {
		t.Errorf("docs/reading.svg names %d packages", len(named))
	}
}

// TestPictures: each is well-formed, says in words what it shows, and has colours
// for light and for dark.
func TestPictures(t *testing.T) {
	for _, name := range []string{"house", "reading"} {
		content, err := os.ReadFile("../../docs/" + name + ".svg")
		if err != nil {
			t.Fatal(err)
		}
		decoder := xml.NewDecoder(strings.NewReader(string(content)))
		found := map[string]int{}
		for {
			token, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if start, ok := token.(xml.StartElement); ok {
				found[start.Name.Local]++
			}
		}
		if found["title"] != 1 || found["desc"] != 1 || found["rect"] < 8 || !strings.Contains(string(content), "prefers-color-scheme:dark") {
			t.Errorf("%s.svg has %v", name, found)
		}
	}
}

// TestStack: a room stands right above what it imports, and a circle is refused.
func TestStack(t *testing.T) {
	rooms := map[string]*room{
		"c": {name: "c", on: []string{"a", "b"}}, "a": {name: "a"}, "b": {name: "b", on: []string{"a"}}, "d": {name: "d"}, "top": {name: "top", all: true},
	}
	floors, err := stack(rooms)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, floor := range floors {
		for _, r := range floor {
			names = append(names, r.name)
		}
		names = append(names, "/")
	}
	if want := strings.Fields("a d / b / c / top /"); !slices.Equal(names, want) {
		t.Errorf("%v, want %v", names, want)
	}
	rooms["a"].on = []string{"c"}
	if _, err := stack(rooms); err == nil || !strings.Contains(err.Error(), "a, b, c") {
		t.Errorf("a circle gives %v", err)
	}
}
