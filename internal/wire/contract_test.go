package wire

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// field is a field of the contract as its file has it, with its comment, which the
// generated descriptors do not keep.
type field struct {
	message, kind, name, comment string
}

var (
	messageLine = regexp.MustCompile(`^message (\w+) \{`)
	fieldLine   = regexp.MustCompile(`^\s+(?:repeated |optional )?(map<[^>]+>|[\w.]+) (\w+) = \d+;`)
)

// contractFields reads all fields of the contract.
func contractFields(t *testing.T) (all []field) {
	t.Helper()
	files, err := filepath.Glob("../../api/proto/gauged/v1/*.proto")
	if err != nil || len(files) == 0 {
		t.Fatalf("no files, %v", err)
	}
	for _, path := range files {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		message, comment := "", ""
		for line := range strings.Lines(string(text)) {
			trimmed := strings.TrimSpace(line)
			if m := messageLine.FindStringSubmatch(line); m != nil {
				message = m[1]
			}
			if f := fieldLine.FindStringSubmatch(line); f != nil && message != "" {
				all = append(all, field{message, f[1], f[2], comment})
			}
			if strings.HasPrefix(line, "}") {
				message = ""
			}
			if said, ok := strings.CutPrefix(trimmed, "//"); ok {
				comment = strings.TrimSpace(comment + said)
			} else {
				comment = ""
			}
		}
	}
	if len(all) < 300 {
		t.Fatalf("only %d fields were read", len(all))
	}
	return all
}

// plainNumber says that a number has no unit.
var plainNumber = regexp.MustCompile(`from 0 to 1|\b0 to 1\b|plain number|percent|[Dd]egrees of freedom|number of standard deviations`)

// TestNumbersHaveTheirUnits: a number that is not whole is a Quantity, with its unit, or
// has none by its nature; and only what is a length is counted in picometres.
func TestNumbersHaveTheirUnits(t *testing.T) {
	for _, f := range contractFields(t) {
		if (f.kind == "double" || f.kind == "float") && !plainNumber.MatchString(f.comment) {
			t.Errorf("%s.%s is a number without a unit: make it a Quantity, or say that it is a plain number (%s)", f.message, f.name, f.comment)
		}
		if strings.Contains(f.name, "picometre") && f.message != "Quantity" || strings.HasSuffix(f.name, "metres") && f.message != "Quantity" {
			t.Errorf("%s.%s says its unit in its name; a Quantity has it", f.message, f.name)
		}
		if f.comment == "" {
			t.Errorf("%s.%s has no comment", f.message, f.name)
		}
	}
}

var (
	thing    = regexp.MustCompile(`^(\w+_)?(gauge|master|job|procedure|part_family|study|check)s?$`)
	counting = regexp.MustCompile(`_since_| How many`)
	personal = regexp.MustCompile(`^(technician|operator|user|who|entered_by|made_by)$`)
)

// TestNamesOfFields: a point in time is called time, or ends in _time; what names a thing
// by its id ends in _id, or _ids; who did what a message tells is called by.
func TestNamesOfFields(t *testing.T) {
	for _, f := range contractFields(t) {
		moment := f.name == "time" || strings.HasSuffix(f.name, "_time")
		switch id := f.kind == "string" || f.kind == "uint64" && !counting.MatchString(f.name+" "+f.comment) || strings.HasPrefix(f.kind, "map<"); {
		case (f.kind == "google.protobuf.Timestamp") != moment:
			t.Errorf("%s.%s is a %s: a point in time is called time or ends in _time, and nothing else does", f.message, f.name, f.kind)
		case id && thing.MatchString(f.name):
			t.Errorf("%s.%s names a thing by its id: let it end in _id or _ids", f.message, f.name)
		case personal.MatchString(f.name):
			t.Errorf("%s.%s is who did it: call it by", f.message, f.name)
		}
	}
}

// listed matches a comment that lists the values of a text: "procedure or parts.",
// "stable, turn or end stops", each one or two words long.
var listed = regexp.MustCompile(`^(?:[^:.]*: )?(?:[a-z-]+(?: [a-z-]+)?, )*[a-z-]+(?: [a-z-]+)? or (?:else )?[a-z-]+(?: [a-z-]+)?(?:[.;,]|$)`)

// TestClosedListsAreEnums: a text whose comment lists its values is an enum, and none is a
// document of another form.
func TestClosedListsAreEnums(t *testing.T) {
	for _, f := range contractFields(t) {
		if f.kind != "string" {
			continue
		}
		if listed.MatchString(f.comment) {
			t.Errorf("%s.%s lists its values in its comment: make it an enum (%s)", f.message, f.name, f.comment)
		}
		if strings.Contains(f.comment, "JSON") {
			t.Errorf("%s.%s is a document in a text: make it a message (%s)", f.message, f.name, f.comment)
		}
	}
	for _, comment := range []string{"procedure or parts.", "How it is called: play, preload or result.", "What it does: extend, keep, reduce or check now."} {
		if !listed.MatchString(comment) {
			t.Errorf("%q is not seen as a list", comment)
		}
	}
}

// numberLine is a line that gives a field or a value of an enum its number.
var numberLine = regexp.MustCompile(`^\s+(?:repeated |optional )?(?:(?:map<[^>]+>|[\w.]+) )?(\w+) = (\d+)(?: \[.*\])?;`)

// TestNumbersHaveNoHoles: until the first release the numbers of fields and values follow
// each other; what is added takes the next one.
func TestNumbersHaveNoHoles(t *testing.T) {
	files, err := filepath.Glob("../../api/proto/gauged/v1/*.proto")
	if err != nil || len(files) == 0 {
		t.Fatalf("no files, %v", err)
	}
	for _, path := range files {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		of, taken := "", map[int]bool{}
		for line := range strings.Lines(string(text)) {
			if name, ok := strings.CutPrefix(line, "message "); ok {
				of, taken = name, map[int]bool{0: true}
			} else if name, ok := strings.CutPrefix(line, "enum "); ok {
				of, taken = name, map[int]bool{}
			}
			if n := numberLine.FindStringSubmatch(line); n != nil && of != "" {
				number, err := strconv.Atoi(n[2])
				if err != nil {
					t.Fatal(err)
				}
				taken[number] = true
			}
			if strings.HasPrefix(line, "}") {
				for i := range len(taken) {
					if !taken[i] {
						t.Errorf("%s has no %d: %s", strings.TrimSuffix(of, " {\n"), i, filepath.Base(path))
					}
				}
				of, taken = "", map[int]bool{}
			}
		}
	}
}
