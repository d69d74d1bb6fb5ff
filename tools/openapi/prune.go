package main

import (
	"encoding/json"
	"maps"
	"regexp"

	"github.com/getkin/kin-openapi/openapi3"
)

// prune takes out the schemas that nothing uses.
func prune(d *openapi3.T) error {
	reference := regexp.MustCompile(`"#/components/schemas/([A-Za-z0-9_.]+)"`)
	used := map[string]bool{}
	var follow func(v any) error
	follow = func(v any) error {
		text, err := json.Marshal(v)
		if err != nil {
			return err
		}
		for _, m := range reference.FindAllSubmatch(text, -1) {
			name := string(m[1])
			if used[name] || d.Components.Schemas[name] == nil {
				continue
			}
			used[name] = true
			if err := follow(d.Components.Schemas[name].Value); err != nil {
				return err
			}
		}
		return nil
	}
	if err := follow(d.Paths); err != nil {
		return err
	}
	maps.DeleteFunc(d.Components.Schemas, func(name string, _ *openapi3.SchemaRef) bool { return !used[name] })
	return nil
}
