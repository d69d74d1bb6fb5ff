package web

import (
	"net/http"

	"gauged/api"
)

// contract answers with what is served here, as OpenAPI.
func contract(w http.ResponseWriter, r *http.Request) {
	tagged(w, r, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write(api.OpenAPI)
	}))
}
