package server

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	gaugedv1 "gauged/api/gauged/v1"
)

// recorded is a check of the micrometer at zero, typed in.
func recorded(t *testing.T, r *rig) *gaugedv1.MasterCheck {
	t.Helper()
	answer, err := gaugedv1.NewHealthServiceClient(r.conn).RecordCheck(t.Context(), &gaugedv1.RecordCheckRequest{
		GaugeId: "micrometer", By: "quality", Temperature: "20",
		Found: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: []*gaugedv1.TypedReading{{Shown: "0.00", Unit: gaugedv1.Unit_UNIT_MILLIMETRE}, {Shown: "0.01", Unit: gaugedv1.Unit_UNIT_MILLIMETRE}}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return answer.GetCheck()
}

// TestCheckAsADocument: a check is sent as its sheet, by its number or as the newest one,
// the same over gRPC and HTTP.
func TestCheckAsADocument(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	ask := func(seq uint64, language string) (*gaugedv1.GetCheckDocumentResponse, error) {
		return c.GetCheckDocument(t.Context(), &gaugedv1.GetCheckDocumentRequest{GaugeId: "micrometer", CheckSeq: seq, Form: gaugedv1.CheckDocumentForm_CHECK_DOCUMENT_FORM_SHEET_PDF, Language: language})
	}
	_, err := ask(0, "")
	wantStatus(t, err, codes.NotFound, "gauge micrometer has no check to write")
	first, last := recorded(t, r), recorded(t, r)
	for seq, want := range map[uint64]uint64{0: last.GetSeq(), first.GetSeq(): first.GetSeq(), last.GetSeq(): last.GetSeq()} {
		for _, language := range []string{"", "en", "de"} {
			made, err := ask(seq, language)
			if err != nil || !strings.HasPrefix(string(made.GetContent()), "%PDF-") || made.GetMediaType() != "application/pdf" || made.GetFileName() != fmt.Sprintf("check-%d.pdf", want) {
				t.Errorf("%d, %q: %s, %v", seq, language, made.GetFileName(), err)
			}
		}
	}
	path := func(seq uint64) string {
		return fmt.Sprintf("/v1/gauges/micrometer/checks/%d/document?form=CHECK_DOCUMENT_FORM_SHEET_PDF&language=de", seq)
	}
	a := h.ask(http.MethodGet, path(first.GetSeq()), "")
	if a.status != http.StatusOK || !strings.HasPrefix(a.body, "%PDF-") || a.header.Get("Content-Type") != "application/pdf" ||
		a.header.Get("Content-Disposition") != fmt.Sprintf(`attachment; filename="check-%d.pdf"`, first.GetSeq()) {
		t.Errorf("%d %v", a.status, a.header)
	}
	certificate := &gaugedv1.GetCheckDocumentRequest{GaugeId: "micrometer", Form: gaugedv1.CheckDocumentForm_CHECK_DOCUMENT_FORM_DCC, Language: "de"}
	_, err = c.GetCheckDocument(t.Context(), certificate)
	wantStatus(t, err, codes.FailedPrecondition, "a calibration certificate names the shop, and the station's file lacks name, email, country: state it there under shop")
	_, err = ask(first.GetSeq()+100, "")
	wantStatus(t, err, codes.NotFound, fmt.Sprintf("number %d of the history is no check of gauge micrometer", first.GetSeq()+100))
	_, err = ask(0, "xx")
	wantStatus(t, err, codes.InvalidArgument, `there is no sheet in the language "xx"; known are en, de`)
	_, err = c.GetCheckDocument(t.Context(), &gaugedv1.GetCheckDocumentRequest{GaugeId: "micrometer"})
	wantStatus(t, err, codes.InvalidArgument, "form 0 of a document is not known here")
	if a := h.ask(http.MethodGet, "/v1/gauges/micrometer/checks/last/document?form=CHECK_DOCUMENT_FORM_SHEET_PDF", ""); a.status != http.StatusNotFound {
		t.Errorf("%d %s", a.status, a.body)
	}
}
