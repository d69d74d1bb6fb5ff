package server

import (
	"context"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/sheet"
)

// GetCheckDocument writes a check as its sheet.
func (s *healthService) GetCheckDocument(ctx context.Context, r *gaugedv1.GetCheckDocumentRequest) (*gaugedv1.GetCheckDocumentResponse, error) {
	if r.GetForm() != gaugedv1.CheckDocumentForm_CHECK_DOCUMENT_FORM_SHEET_PDF {
		return nil, gauge.WrongInput("refusal.document.form", gauge.Count("form", int32(r.GetForm())))
	}
	w, err := sheetIn(r.GetLanguage())
	if err != nil {
		return nil, err
	}
	f, err := sheet.CheckPDF(ctx, s.station, s.house, r.GetGaugeId(), r.GetCheckSeq(), w, s.station.Now())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetCheckDocumentResponse{MediaType: f.Type, FileName: f.Name, Content: f.Content}, nil
}
