package web

import (
	"fmt"
	"net/http"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/grpc-ecosystem/grpc-gateway/v2/utilities"

	gaugedv1 "gauged/api/gauged/v1"
)

// document sends a job as a file: its bytes as they are, under their own media type.
func (s *site) document(w http.ResponseWriter, r *http.Request) {
	tagged(w, r, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		request := &gaugedv1.GetJobDocumentRequest{}
		if err := runtime.PopulateQueryParameters(request, r.URL.Query(), utilities.NewDoubleArray(nil)); err != nil {
			refuse(w, r, unreadable(err.Error()))
			return
		}
		var ok bool
		if request.JobId, ok = jobOf(w, r); !ok {
			return
		}
		conn, err := s.Inside()
		if err != nil {
			refuse(w, r, err)
			return
		}
		defer conn.Close()
		file, err := gaugedv1.NewJobServiceClient(conn).GetJobDocument(r.Context(), request)
		if err != nil {
			refuse(w, r, err)
			return
		}
		w.Header().Set("Content-Type", file.GetMediaType())
		w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", file.GetFileName()))
		_, _ = w.Write(file.GetContent())
	}))
}
