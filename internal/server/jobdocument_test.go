package server

import (
	"net/http"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestJobAsADocument: a job is sent as its sheet and as results, the same over gRPC and
// HTTP; what has not changed is not sent again.
func TestJobAsADocument(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	id := r.start(nil).GetId()
	qif, err := r.jobs.GetJobDocument(t.Context(), &gaugedv1.GetJobDocumentRequest{JobId: id, Form: gaugedv1.JobDocumentForm_JOB_DOCUMENT_FORM_QIF})
	if err != nil || !strings.Contains(string(qif.GetContent()), "<QIFDocument ") || qif.GetMediaType() != "application/xml" || qif.GetFileName() != "job-1.qif.xml" {
		t.Fatalf("%v, %v", qif, err)
	}
	a := h.ask(http.MethodGet, "/v1/jobs/1/document?form=JOB_DOCUMENT_FORM_QIF", "")
	if a.status != http.StatusOK || a.body != string(qif.GetContent()) || a.header.Get("Content-Type") != "application/xml" ||
		a.header.Get("Content-Disposition") != `attachment; filename="job-1.qif.xml"` {
		t.Errorf("%d %v\n%s", a.status, a.header, a.body)
	}
	if again := h.ask(http.MethodGet, "/v1/jobs/1/document?form=JOB_DOCUMENT_FORM_QIF", "", "If-None-Match: "+a.header.Get("ETag")); again.status != http.StatusNotModified {
		t.Errorf("unchanged: %d", again.status)
	}
	for _, language := range []string{"", "en", "de"} {
		sheet, err := r.jobs.GetJobDocument(t.Context(), &gaugedv1.GetJobDocumentRequest{JobId: id, Form: gaugedv1.JobDocumentForm_JOB_DOCUMENT_FORM_SHEET_PDF, Language: language})
		if err != nil || !strings.HasPrefix(string(sheet.GetContent()), "%PDF-") || sheet.GetMediaType() != "application/pdf" || sheet.GetFileName() != "job-1.pdf" {
			t.Errorf("%q: %v, %v", language, sheet, err)
		}
	}
	for _, x := range []struct {
		request *gaugedv1.GetJobDocumentRequest
		code    codes.Code
		says    string
	}{
		{&gaugedv1.GetJobDocumentRequest{JobId: id}, codes.InvalidArgument, "form 0 of a document is not known here"},
		{&gaugedv1.GetJobDocumentRequest{JobId: id, Form: 1, Language: "xx"}, codes.InvalidArgument, `there is no sheet in the language "xx"; known are en, de`},
		{&gaugedv1.GetJobDocumentRequest{JobId: 9, Form: 1}, codes.NotFound, "there is no job 9"},
		{&gaugedv1.GetJobDocumentRequest{JobId: 9, Form: 2}, codes.NotFound, "there is no job 9"},
	} {
		_, err := r.jobs.GetJobDocument(t.Context(), x.request)
		wantStatus(t, err, x.code, x.says)
	}
	if a := h.ask(http.MethodGet, "/v1/jobs/9/document?form=JOB_DOCUMENT_FORM_QIF", ""); a.status != http.StatusNotFound || !strings.Contains(a.body, "there is no job 9") {
		t.Errorf("%d %s", a.status, a.body)
	}
}
