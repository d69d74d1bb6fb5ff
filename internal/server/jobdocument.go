package server

import (
	"bytes"
	"context"
	"fmt"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/exchange/qif"
	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/sheet"
)

// GetJobDocument writes a job as its sheet, or as results for other programs.
func (s *jobService) GetJobDocument(ctx context.Context, r *gaugedv1.GetJobDocumentRequest) (*gaugedv1.GetJobDocumentResponse, error) {
	switch r.GetForm() {
	case gaugedv1.JobDocumentForm_JOB_DOCUMENT_FORM_SHEET_PDF:
		return s.sheet(ctx, r)
	case gaugedv1.JobDocumentForm_JOB_DOCUMENT_FORM_QIF:
		return s.results(ctx, r.GetJobId())
	}
	return nil, gauge.WrongInput("refusal.document.form", gauge.Count("form", int32(r.GetForm())))
}

func (s *jobService) sheet(ctx context.Context, r *gaugedv1.GetJobDocumentRequest) (*gaugedv1.GetJobDocumentResponse, error) {
	w, err := sheetIn(r.GetLanguage())
	if err != nil {
		return nil, err
	}
	f, err := sheet.JobPDF(ctx, s.station, sheet.House{Station: s.info.Name}, r.GetJobId(), w, s.station.Now())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetJobDocumentResponse{MediaType: f.Type, FileName: f.Name, Content: f.Content}, nil
}

func (s *jobService) results(ctx context.Context, id uint64) (*gaugedv1.GetJobDocumentResponse, error) {
	j, err := s.station.Job(ctx, id)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := qif.Write(&b, message.Job(j)); err != nil {
		return nil, err
	}
	return &gaugedv1.GetJobDocumentResponse{MediaType: "application/xml", FileName: fmt.Sprintf("job-%d.qif.xml", id), Content: b.Bytes()}, nil
}
