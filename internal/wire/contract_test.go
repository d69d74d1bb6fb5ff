package wire

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
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

// keywords are the words that Python, Go, JavaScript, Java and C++ keep for themselves:
// a field of that name cannot be written in a program of that language as it is. Sources:
// the language references (Python 3 section 2.3.1; Go specification, Keywords; ECMA-262
// section 12.7.2; Java SE specification section 3.9; ISO/IEC 14882 section 5.11).
const keywords = `
False None True and as assert async await break class continue def del elif else except finally for from global if
import in is lambda nonlocal not or pass raise return try while with yield
case chan const default defer fallthrough func go goto interface map package range select struct switch type var
catch debugger delete do enum export extends false function instanceof new null super this throw true typeof void
let static implements private protected public
abstract boolean byte char double final float int long native short strictfp synchronized throws transient volatile _
alignas alignof and_eq asm auto bitand bitor bool char8_t char16_t char32_t compl concept consteval constexpr constinit
const_cast co_await co_return co_yield decltype dynamic_cast explicit extern friend inline mutable namespace noexcept
not_eq nullptr operator or_eq register reinterpret_cast requires signed sizeof static_assert static_cast template
thread_local typedef typeid typename union unsigned using virtual wchar_t xor xor_eq`

// eachMessage calls see with every message of the contract.
func eachMessage(see func(protoreflect.MessageDescriptor)) {
	var within func(protoreflect.MessageDescriptors)
	within = func(all protoreflect.MessageDescriptors) {
		for i := range all.Len() {
			see(all.Get(i))
			within(all.Get(i).Messages())
		}
	}
	protoregistry.GlobalFiles.RangeFilesByPackage("gauged.v1", func(file protoreflect.FileDescriptor) bool {
		within(file.Messages())
		return true
	})
}

// TestNoFieldIsAKeyword: a program in any of the usual languages writes each field as it is called.
func TestNoFieldIsAKeyword(t *testing.T) {
	words, seen := strings.Fields(keywords), 0
	eachMessage(func(m protoreflect.MessageDescriptor) {
		for i := range m.Fields().Len() {
			if f := m.Fields().Get(i); slices.Contains(words, string(f.Name())) {
				t.Errorf("%s is a keyword of a language: call it otherwise", f.FullName())
			}
			seen++
		}
		for i := range m.Oneofs().Len() {
			if o := m.Oneofs().Get(i); slices.Contains(words, string(o.Name())) {
				t.Errorf("%s is a keyword of a language: call it otherwise", o.FullName())
			}
		}
	})
	if seen < 300 {
		t.Fatalf("only %d fields were seen", seen)
	}
}

// TestOneNameOneMeaning: fields of one of these names have one type wherever they stand,
// and spread is the range of the readings and nothing else.
func TestOneNameOneMeaning(t *testing.T) {
	for _, f := range contractFields(t) {
		switch {
		case f.name == "degrees_of_freedom" && f.kind != "double":
			t.Errorf("%s.%s is a %s: make it a double", f.message, f.name, f.kind)
		case strings.HasSuffix(f.name, "spread") && !strings.Contains(f.comment, "largest less smallest"):
			t.Errorf("%s.%s is no range: call a standard deviation or a multiple of it so (%s)", f.message, f.name, f.comment)
		}
	}
}
