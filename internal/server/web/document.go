package web

import (
	"net/http"

	"gauged/api"
)

// document answers with what is served here, as OpenAPI.
func document(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(api.OpenAPI)
}
