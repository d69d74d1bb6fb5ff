package main

import (
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// handler is a call that has a handler of its own.
type handler struct {
	call   string            // as buf writes a call without a path
	method string            // of HTTP
	path   string            // of HTTP
	events map[string]string // names of the events that it streams, each with the message that is its data; nil: it streams none
	files  []string          // media types of the files that it answers with; nil: it answers with JSON
}

// handlers are those of internal/server/web; no path: the call is not served over HTTP.
var handlers = []handler{
	{"GaugeService/IngestReadings", http.MethodPost, "/v1/readings", nil, nil},
	{"GaugeService/WatchReadings", http.MethodGet, "/v1/events/readings", map[string]string{"start": "WatchStart", "reading": "Reading", "state": "StateChange", "gap": "Gap", "lag": "Lag"}, nil},
	{"JobService/WatchJobs", http.MethodGet, "/v1/events/jobs", map[string]string{"start": "WatchStart", "change": "JobChange", "lag": "Lag"}, nil},
	{"JobService/WatchJob", http.MethodGet, "/v1/events/jobs/{job_id}", map[string]string{"job": "Job"}, nil},
	{"JobService/CaptureMotion", http.MethodPost, "/v1/jobs/{job_id}/motions:capture", map[string]string{"progress": "MotionProgress", "job": "Job"}, nil},
	{"HealthService/Recall", http.MethodPost, "/v1/gauges/{gauge_id}/recalls", map[string]string{"part": "RecallResponse"}, nil},
	{"JobService/GetJobDocument", http.MethodGet, "/v1/jobs/{job_id}/document", nil, []string{"application/pdf", "application/xml"}},
	{"HealthService/GetCheckDocument", http.MethodGet, "/v1/gauges/{gauge_id}/checks/{check_seq}/document", nil, []string{"application/pdf", "application/xml"}},
	{call: "EvaluationService/StreamEvaluations"},
}

// addHandlers puts the calls that have handlers of their own where those are.
func addHandlers(d *openapi3.T) error {
	for _, h := range handlers {
		from := "/gauged.v1." + h.call
		item := d.Paths.Value(from)
		if item == nil || item.Post == nil {
			return fmt.Errorf("buf has generated no %s", from)
		}
		d.Paths.Delete(from)
		if h.path == "" {
			continue
		}
		if err := add(d, h, item.Post); err != nil {
			return fmt.Errorf("%s: %w", h.call, err)
		}
	}
	for path := range d.Paths.Map() {
		if strings.HasPrefix(path, "/gauged.v1.") {
			return fmt.Errorf("%s has neither a path in api/http.yaml nor a handler", path)
		}
	}
	return nil
}

func add(d *openapi3.T, h handler, o *openapi3.Operation) error {
	request, name := openapi3.NewSchema(), strings.TrimPrefix(h.call[strings.Index(h.call, "/")+1:], "")+"Request"
	if body := o.RequestBody; body != nil {
		ref := d.Components.Schemas[name]
		if ref == nil {
			return fmt.Errorf("there is no %s", name)
		}
		request = ref.Value
	}
	var inPath []string
	for part := range strings.SplitSeq(h.path, "/") {
		if field, ok := strings.CutPrefix(part, "{"); ok {
			inPath = append(inPath, strings.TrimSuffix(field, "}"))
		}
	}
	for _, field := range slices.Sorted(maps.Keys(request.Properties)) {
		p := &openapi3.Parameter{Name: field, Schema: request.Properties[field], Description: described(request.Properties[field])}
		switch {
		case slices.Contains(inPath, field):
			p.In, p.Required = openapi3.ParameterInPath, true
		case h.method == http.MethodGet:
			p.In = openapi3.ParameterInQuery
		default:
			continue
		}
		o.Parameters = append(o.Parameters, &openapi3.ParameterRef{Value: p})
	}
	if h.method == http.MethodGet {
		o.RequestBody = nil
	}
	switch {
	case h.files != nil:
		bytes := openapi3.NewStringSchema().WithFormat("binary")
		o.Responses.Set("200", &openapi3.ResponseRef{Value: openapi3.NewResponse().WithDescription("The file.").WithContent(openapi3.NewContentWithSchema(bytes, h.files))})
	case h.events == nil:
		o.Responses.Set("200", &openapi3.ResponseRef{Value: openapi3.NewResponse().WithDescription("What was stored.").
			WithContent(openapi3.NewContentWithJSONSchemaRef(schemaOf(strings.TrimSuffix(name, "Request") + "Response")))})
	default:
		if err := streams(d, h, o); err != nil {
			return err
		}
	}
	d.AddOperation(h.path, h.method, o)
	return nil
}

// streams says what events a call sends.
func streams(d *openapi3.T, h handler, o *openapi3.Operation) error {
	refs := map[string]any{"end": map[string]string{"$ref": "#/components/schemas/Problem"}}
	for event, message := range h.events {
		if d.Components.Schemas[message] == nil {
			return fmt.Errorf("there is no %s", message)
		}
		refs[event] = map[string]string{"$ref": "#/components/schemas/" + message}
	}
	names := slices.Sorted(maps.Keys(h.events))
	text := &openapi3.MediaType{Schema: openapi3.NewSchemaRef("", openapi3.NewStringSchema()), Extensions: map[string]any{"x-events": refs}}
	o.Responses.Set("200", &openapi3.ResponseRef{Value: openapi3.NewResponse().
		WithDescription("Server-sent events: " + strings.Join(names, ", ") + "; end, a problem, when the daemon ends the stream.").
		WithContent(openapi3.Content{"text/event-stream": text})})
	if _, resumes := h.events["start"]; resumes {
		o.Parameters = append(o.Parameters, &openapi3.ParameterRef{Value: openapi3.NewHeaderParameter("Last-Event-ID").WithSchema(openapi3.NewStringSchema()).
			WithDescription("The id of the last event that came: the stream goes on behind it.")})
	}
	return nil
}

func schemaOf(message string) *openapi3.SchemaRef {
	return openapi3.NewSchemaRef("#/components/schemas/"+message, nil)
}

func described(s *openapi3.SchemaRef) string {
	if s.Value == nil {
		return ""
	}
	return s.Value.Description
}
