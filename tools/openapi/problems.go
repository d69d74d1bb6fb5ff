package main

import (
	"net/http"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// addProblems says what every call answers that was not carried out (RFC 9457), and under
// what id what is stored is stored once.
func addProblems(d *openapi3.T) {
	text := openapi3.NewStringSchema
	fault := openapi3.NewObjectSchema().WithProperty("place", text()).WithProperty("code", text()).WithProperty("detail", text())
	problem := openapi3.NewObjectSchema().WithProperty("type", text()).WithProperty("title", text()).WithProperty("status", openapi3.NewIntegerSchema()).
		WithProperty("detail", text()).WithProperty("code", text()).
		WithProperty("arguments", openapi3.NewObjectSchema().WithAdditionalProperties(text())).
		WithProperty("problems", openapi3.NewArraySchema().WithItems(fault)).
		WithRequired([]string{"type", "title", "status", "detail", "code"})
	problem.Description = "Why a request was not carried out: code tells problems apart, detail says what to do, in the language of Accept-Language."
	d.Components.Schemas["Problem"] = openapi3.NewSchemaRef("", problem)
	answer := openapi3.NewResponse().WithDescription("The request was not carried out.").WithContent(openapi3.Content{
		"application/problem+json": &openapi3.MediaType{Schema: schemaOf("Problem")},
	})
	for _, item := range d.Paths.Map() {
		for method, o := range item.Operations() {
			o.Responses.Set("default", &openapi3.ResponseRef{Value: answer})
			if method == http.MethodPost && hasID(d, o) {
				o.Parameters = append(o.Parameters, &openapi3.ParameterRef{Value: openapi3.NewHeaderParameter("Idempotency-Key").WithSchema(text()).
					WithDescription("The request_id, where the body has none: a request that is sent again under it is carried out once.")})
			}
		}
	}
}

// hasID reports whether a request has a request_id.
func hasID(d *openapi3.T, o *openapi3.Operation) bool {
	if o.RequestBody == nil || o.RequestBody.Value == nil {
		return false
	}
	for _, content := range o.RequestBody.Value.Content {
		schema := d.Components.Schemas[strings.TrimPrefix(content.Schema.Ref, "#/components/schemas/")]
		if schema != nil && schema.Value.Properties["request_id"] != nil {
			return true
		}
	}
	return false
}
