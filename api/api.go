// Package api has the published contract: the protos and what is generated of them.
package api

import _ "embed"

// OpenAPI describes the calls over HTTP with JSON, as OpenAPI 3.0. It is generated: see
// tools/openapi.
//
//go:embed openapi.json
var OpenAPI []byte
