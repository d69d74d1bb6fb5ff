package server

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gauged/internal/station"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// comments are the comments of the contract: those before each field by its name, and that
// of each file by the file's.
func comments(t *testing.T) (fields map[protoreflect.FullName]string, files map[string]string) {
	t.Helper()
	fields, files = map[protoreflect.FullName]string{}, map[string]string{}
	all, err := filepath.Glob("../../api/proto/gauged/v1/*.proto")
	if err != nil {
		t.Fatal(err)
	}
	message, field := regexp.MustCompile(`^message (\w+) \{`), regexp.MustCompile(`(\w+) = \d+;`)
	for _, name := range all {
		content, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		before, within := "", ""
		for line := range strings.Lines(string(content)) {
			if m := message.FindStringSubmatch(line); m != nil {
				within = m[1]
			}
			text, is := strings.CutPrefix(strings.TrimSpace(line), "//")
			switch m := field.FindStringSubmatch(line); {
			case is:
				before += text
				continue
			case m != nil:
				fields[protoreflect.FullName("gauged.v1."+within+"."+m[1])] = before
			case files[filepath.Base(name)] == "":
				files[filepath.Base(name)] = before
			}
			before = ""
		}
	}
	return fields, files
}

// grouped writes a number as the comments do: 2000, 10 000.
func grouped(n int) string {
	if n < 10_000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d %03d", n/1000, n%1000)
}

// TestLimitsAreInTheContract: whoever reads the protos knows how much one request takes, how
// long a page is, and how long a text may be.
func TestLimitsAreInTheContract(t *testing.T) {
	fields, files := comments(t)
	says := func(name protoreflect.FullName, want string) {
		t.Helper()
		if !strings.Contains(fields[name], want) {
			t.Errorf("%s does not say %q: %s", name, want, fields[name])
		}
	}
	for list, most := range mostOf {
		says(list, fmt.Sprintf("At most %s in one request.", grouped(most)))
	}
	pages, ids := 0, 0
	for _, m := range methods() {
		if f := m.Input().Fields().ByName("page_size"); f != nil {
			pages++
			usual, most := usualPage, mostOnPage
			if m.Name() == "ListJobs" {
				usual, most = usualJobs, mostJobs
			}
			says(f.FullName(), fmt.Sprintf("0 means %s, and more than %s is not given at once", grouped(usual), grouped(most)))
		}
		if f := m.Input().Fields().ByName("request_id"); f != nil {
			ids++
			says(f.FullName(), fmt.Sprintf("up to %d printable characters", longestID))
		}
	}
	says("gauged.v1.IngestReadingsRequest.source", fmt.Sprintf("Up to %d names", station.MostSenders))
	says("gauged.v1.IngestReadingsResponse.refused", fmt.Sprintf("up to %d in ten minutes", station.KeptUnknown))
	if pages < 10 || ids < 20 {
		t.Errorf("only %d pages and %d ids of requests", pages, ids)
	}
	for _, want := range []string{
		fmt.Sprintf("a text has up to %d bytes", longestText), fmt.Sprintf("bytes are up to %d,", longestBytes), fmt.Sprintf("has up to %d bytes", maxMessage),
	} {
		if !strings.Contains(files["server.proto"], want) {
			t.Errorf("server.proto does not say %q: %s", want, files["server.proto"])
		}
	}
}
