package web

import (
	"context"
	"fmt"
	"net/http"
	"strconv"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/grpc-ecosystem/grpc-gateway/v2/utilities"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
)

// file is what a call for a document answers.
type file interface {
	GetMediaType() string
	GetFileName() string
	GetContent() []byte
}

// document sends what is stored as a file: its bytes as they are, under their own media type. ask fills the
// path into the request, which has the rest from the query, and makes the call.
func document[Request proto.Message](s *site, request func() Request, ask func(context.Context, grpc.ClientConnInterface, *http.Request, Request) (file, error)) http.HandlerFunc {
	send := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked := request()
		if err := runtime.PopulateQueryParameters(asked, r.URL.Query(), utilities.NewDoubleArray(nil)); err != nil {
			refuse(w, r, unreadable(err.Error()))
			return
		}
		conn, err := s.Inside()
		if err != nil {
			refuse(w, r, err)
			return
		}
		defer conn.Close()
		f, err := ask(r.Context(), conn, r, asked)
		if err != nil {
			refuse(w, r, err)
			return
		}
		w.Header().Set("Content-Type", f.GetMediaType())
		w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", f.GetFileName()))
		_, _ = w.Write(f.GetContent())
	})
	return func(w http.ResponseWriter, r *http.Request) { tagged(w, r, send) }
}

func (s *site) jobDocument() http.HandlerFunc {
	return document(s, func() *gaugedv1.GetJobDocumentRequest { return &gaugedv1.GetJobDocumentRequest{} },
		func(ctx context.Context, conn grpc.ClientConnInterface, r *http.Request, asked *gaugedv1.GetJobDocumentRequest) (f file, err error) {
			if asked.JobId, err = numberIn(r, "job_id"); err != nil {
				return nil, err
			}
			return gaugedv1.NewJobServiceClient(conn).GetJobDocument(ctx, asked)
		})
}

func (s *site) checkDocument() http.HandlerFunc {
	return document(s, func() *gaugedv1.GetCheckDocumentRequest { return &gaugedv1.GetCheckDocumentRequest{} },
		func(ctx context.Context, conn grpc.ClientConnInterface, r *http.Request, asked *gaugedv1.GetCheckDocumentRequest) (f file, err error) {
			if asked.CheckSeq, err = numberIn(r, "check_seq"); err != nil {
				return nil, err
			}
			asked.GaugeId = r.PathValue("gauge_id")
			return gaugedv1.NewHealthServiceClient(conn).GetCheckDocument(ctx, asked)
		})
}

func numberIn(r *http.Request, name string) (uint64, error) {
	n, err := strconv.ParseUint(r.PathValue(name), 10, 64)
	if err != nil {
		return 0, noPath(r)
	}
	return n, nil
}
