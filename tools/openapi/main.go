// Command openapi writes api/openapi.json: what is served over HTTP with JSON, as OpenAPI
// 3.0. It takes the calls from what buf has generated of the protos and api/http.yaml, and
// adds what has handlers of its own: readings that come, events, problems. make generate
// runs it.
package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"strings"

	"github.com/getkin/kin-openapi/openapi2"
	"github.com/getkin/kin-openapi/openapi2conv"
	"github.com/getkin/kin-openapi/openapi3"
)

func main() {
	in := "api" // or the directory that is named
	if len(os.Args) > 1 {
		in = os.Args[1]
	}
	if err := run(in+"/openapi.swagger.json", in+"/openapi.json"); err != nil {
		fmt.Fprintln(os.Stderr, "openapi:", err)
		os.Exit(1)
	}
}

// run writes the document and removes what it is made from.
func run(from, to string) error {
	content, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	after, err := written(content)
	if err != nil {
		return err
	}
	if err := os.WriteFile(to, after, 0o644); err != nil {
		return err
	}
	return os.Remove(from)
}

// written is the document for what buf has generated.
func written(content []byte) ([]byte, error) {
	var calls openapi2.T
	if err := json.Unmarshal(content, &calls); err != nil {
		return nil, err
	}
	d, err := openapi2conv.ToV3(&calls)
	if err != nil {
		return nil, err
	}
	d.OpenAPI = "3.0.3"
	d.Info = &openapi3.Info{
		Title: "gauged", Version: "v1",
		Description: "Gauges, readings, jobs, checks and verdicts of a station. What each call needs is in docs/access.md, the codes of problems in docs/refusals.md.",
		License:     &openapi3.License{Name: "Apache-2.0"},
	}
	d.Servers = openapi3.Servers{{URL: "/", Description: "the station"}}
	d.Components.SecuritySchemes = openapi3.SecuritySchemes{"token": {Value: &openapi3.SecurityScheme{Type: "http", Scheme: "bearer", Description: "made with gaugectl access token make"}}}
	d.Security = openapi3.SecurityRequirements{{"token": {}}, {}}
	if err := addHandlers(d); err != nil {
		return nil, err
	}
	addProblems(d)
	addItself(d)
	sentences(d)
	byName(d)
	if err := prune(d); err != nil {
		return nil, err
	}
	after, err := d.MarshalJSON()
	if err != nil {
		return nil, err
	}
	return indented(after)
}

// addItself adds where the document is served. It is no call, and has no tag.
func addItself(d *openapi3.T) {
	o := openapi3.NewOperation()
	o.OperationID, o.Summary = "OpenAPI", "What is served here, as OpenAPI."
	o.Responses = openapi3.NewResponses(openapi3.WithStatus(200, &openapi3.ResponseRef{Value: openapi3.NewResponse().
		WithDescription("This document.").WithContent(openapi3.NewContentWithJSONSchema(openapi3.NewObjectSchema()))}))
	d.AddOperation("/v1/openapi.json", http.MethodGet, o)
}

// indented is JSON with its keys in order, so that a change shows as what it is.
func indented(content []byte) ([]byte, error) {
	var v any
	if err := json.Unmarshal(content, &v); err != nil {
		return nil, err
	}
	after, err := json.MarshalIndent(v, "", " ")
	return append(after, '\n'), err
}

// sentences joins the lines of the protos' comments.
func sentences(d *openapi3.T) {
	for _, item := range d.Paths.Map() {
		for _, o := range item.Operations() {
			o.Summary, o.Description = summary(o.Summary), strings.ReplaceAll(strings.TrimSpace(o.Summary+" "+o.Description), "\n", " ")
		}
	}
}

// byName has what a query says by names as OpenAPI writes it: labels[order]=A-1042.
func byName(d *openapi3.T) {
	for _, item := range d.Paths.Map() {
		for _, o := range item.Operations() {
			for _, p := range o.Parameters {
				name, is := strings.CutSuffix(p.Value.Name, "[string]")
				if !is {
					continue
				}
				explode, texts := true, openapi3.NewObjectSchema()
				texts.AdditionalProperties.Schema = openapi3.NewStringSchema().NewRef()
				p.Value.Name, p.Value.Style, p.Value.Explode, p.Value.Schema = name, "deepObject", &explode, texts.NewRef()
			}
		}
	}
}

// summary is the first sentence.
func summary(text string) string {
	text = strings.ReplaceAll(text, "\n", " ")
	if i := strings.Index(text, ". "); i > 0 {
		return text[:i]
	}
	return strings.TrimSuffix(text, ".")
}
