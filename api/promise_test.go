package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

// baseline is the document of the last release; a release renews it.
const baseline = "baseline.openapi.json"

// TestPromise: whoever reads and writes what the last release served over HTTP goes on doing
// so. Nothing is taken away, nothing changes its type, and nothing more must be sent.
func TestPromise(t *testing.T) {
	content, err := os.ReadFile(baseline)
	if err != nil {
		t.Fatal(err)
	}
	for _, what := range broken(read(t, content), read(t, OpenAPI)) {
		t.Errorf("%s: docs/contract.md says what may change", what)
	}
}

func read(t *testing.T, content []byte) *openapi3.T {
	t.Helper()
	d, err := openapi3.NewLoader().LoadFromData(content)
	if err != nil {
		t.Fatal(err)
	}
	if d.Paths.Len() < 40 || len(d.Components.Schemas) < 150 {
		t.Fatalf("only %d paths and %d schemas were read", d.Paths.Len(), len(d.Components.Schemas))
	}
	return d
}

// broken is what a program that goes by the document of before can no longer do.
func broken(before, now *openapi3.T) (all []string) {
	say := func(at, what string) { all = append(all, at+" "+what) }
	for path, item := range before.Paths.Map() {
		for method, o := range item.Operations() {
			at := method + " " + path
			var next *openapi3.Operation
			if there := now.Paths.Value(path); there != nil {
				next = there.GetOperation(method)
			}
			if next == nil {
				say(at, "is gone")
				continue
			}
			operation(say, at, o, next)
		}
	}
	for name, s := range before.Components.Schemas {
		schema(say, name, s, now.Components.Schemas[name])
	}
	slices.Sort(all)
	return all
}

func operation(say func(at, what string), at string, before, now *openapi3.Operation) {
	for _, p := range before.Parameters {
		next := now.Parameters.GetByInAndName(p.Value.In, p.Value.Name)
		if next == nil {
			say(at+" "+p.Value.Name, "is gone")
			continue
		}
		schema(say, at+" "+p.Value.Name, p.Value.Schema, next.Schema)
		if next.Required && !p.Value.Required {
			say(at+" "+p.Value.Name, "must be there now")
		}
	}
	for _, p := range now.Parameters {
		if p.Value.Required && before.Parameters.GetByInAndName(p.Value.In, p.Value.Name) == nil {
			say(at+" "+p.Value.Name, "must be there now")
		}
	}
	switch {
	case before.RequestBody == nil:
		if now.RequestBody != nil && now.RequestBody.Value.Required {
			say(at, "must have a body now")
		}
	case now.RequestBody == nil:
		say(at, "takes no body any more")
	default:
		if now.RequestBody.Value.Required && !before.RequestBody.Value.Required {
			say(at, "must have a body now")
		}
		contents(say, at+" body", before.RequestBody.Value.Content, now.RequestBody.Value.Content)
	}
	for status, answer := range before.Responses.Map() {
		next := now.Responses.Value(status)
		if next == nil {
			say(at+" "+status, "is gone")
			continue
		}
		contents(say, at+" "+status, answer.Value.Content, next.Value.Content)
	}
}

func contents(say func(at, what string), at string, before, now openapi3.Content) {
	for form, m := range before {
		next := now[form]
		if next == nil {
			say(at+" "+form, "is gone")
			continue
		}
		schema(say, at+" "+form, m.Schema, next.Schema)
		for event, data := range events(m) {
			if other, there := events(next)[event]; !there {
				say(at+" event "+event, "is gone")
			} else if other != data {
				say(at+" event "+event, "has other data")
			}
		}
	}
}

// events are those that a call streams, with their data.
func events(m *openapi3.MediaType) map[string]string {
	all := map[string]string{}
	said, _ := m.Extensions["x-events"].(map[string]any)
	for event, data := range said {
		all[event] = fmt.Sprint(data)
	}
	return all
}

// schema compares what a value is; what another schema has is compared where that stands.
func schema(say func(at, what string), at string, before, now *openapi3.SchemaRef) {
	switch {
	case before == nil:
		return
	case now == nil:
		say(at, "is gone")
		return
	case before.Ref != now.Ref:
		say(at, "is another kind of value")
		return
	case before.Ref != "":
		return
	}
	b, n := before.Value, now.Value
	if fmt.Sprint(b.Type) != fmt.Sprint(n.Type) || b.Format != n.Format {
		say(at, fmt.Sprintf("is %v %s and was %v %s", n.Type, n.Format, b.Type, b.Format))
	}
	for _, value := range b.Enum {
		if !slices.Contains(n.Enum, value) {
			say(at, fmt.Sprintf("has no value %v any more", value))
		}
	}
	if len(b.Enum) == 0 && len(n.Enum) > 0 {
		say(at, "has only some values now")
	}
	for _, name := range slices.Sorted(maps.Keys(b.Properties)) {
		schema(say, at+"."+name, b.Properties[name], n.Properties[name])
	}
	for _, name := range n.Required {
		if !slices.Contains(b.Required, name) {
			say(at+"."+name, "must be there now")
		}
	}
	schema(say, at+"[]", b.Items, n.Items)
	schema(say, at+"{}", b.AdditionalProperties.Schema, n.AdditionalProperties.Schema)
}

// TestPromiseIsHeld: each way of breaking the promise is found, and what may change is not.
func TestPromiseIsHeld(t *testing.T) {
	for _, c := range []struct{ name, from, to, want string }{
		{"a path", `"/v1/exits"`, `"/v1/outlets"`, "GET /v1/exits is gone"},
		{"a method", `"/v1/jobs/{job_id}": {
   "get"`, `"/v1/jobs/{job_id}": {
   "put"`, "GET /v1/jobs/{job_id} is gone"},
		{"a parameter", `"name": "open_only"`, `"name": "only_open"`, "GET /v1/jobs open_only is gone"},
		{"a field", `"dead_letter_count": {`, `"dead_letters_count": {`, "Exit.dead_letter_count is gone"},
		{"a type", `"behind_count": {
      "description": "Entries of the history behind that one; not all of them are events.",
      "format": "uint64",
      "type": "string"`, `"behind_count": {
      "description": "Entries of the history behind that one; not all of them are events.",
      "type": "integer"`, "Exit.behind_count is &[integer]  and was &[string] uint64"},
		{"a value of a closed list", `"EXIT_STATE_PAUSED"`, `"EXIT_STATE_STOPPED"`, "ExitState has no value EXIT_STATE_PAUSED any more"},
		{"what must be sent", `"Exit": {
    "description"`, `"Exit": {
    "required": ["address"],
    "description"`, "Exit.address must be there now"},
		{"a description", "Exit is one exit of the station.", "Exit hands on what happens.", ""},
		{"a new field", `"Exit": {
    "description": "Exit is one exit of the station.",
    "properties": {`, `"Exit": {
    "description": "Exit is one exit of the station.",
    "properties": {
     "new": {"type": "string"},`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(string(OpenAPI), c.from) {
				t.Fatalf("the document has no %s", c.from)
			}
			changed := strings.Replace(string(OpenAPI), c.from, c.to, 1)
			if !json.Valid([]byte(changed)) {
				t.Fatal("what was changed is no JSON")
			}
			found := broken(read(t, OpenAPI), read(t, []byte(changed)))
			if c.want == "" && len(found) > 0 || c.want != "" && !slices.Contains(found, c.want) {
				t.Errorf("found %q, want %q", found, c.want)
			}
		})
	}
}
