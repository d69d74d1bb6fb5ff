package server

import (
	"bytes"
	"context"
	"fmt"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/exchange/dcc"
	"gauged/internal/gauge"
	"gauged/internal/sheet"
	"gauged/internal/words"
)

// GetCheckDocument writes a check as its sheet, or as a calibration certificate for other programs.
func (s *healthService) GetCheckDocument(ctx context.Context, r *gaugedv1.GetCheckDocumentRequest) (*gaugedv1.GetCheckDocumentResponse, error) {
	w, err := sheetIn(r.GetLanguage())
	if err != nil {
		return nil, err
	}
	switch r.GetForm() {
	case gaugedv1.CheckDocumentForm_CHECK_DOCUMENT_FORM_SHEET_PDF:
		f, err := sheet.CheckPDF(ctx, s.station, s.house, r.GetGaugeId(), r.GetCheckSeq(), w, s.station.Now())
		if err != nil {
			return nil, err
		}
		return &gaugedv1.GetCheckDocumentResponse{MediaType: f.Type, FileName: f.Name, Content: f.Content}, nil
	case gaugedv1.CheckDocumentForm_CHECK_DOCUMENT_FORM_DCC:
		return s.certificate(ctx, r, w.Language())
	}
	return nil, gauge.WrongInput("refusal.document.form", gauge.Count("form", int32(r.GetForm())))
}

// certificate is a check as digital calibration certificate, in every language.
func (s *healthService) certificate(ctx context.Context, r *gaugedv1.GetCheckDocumentRequest, binds words.Language) (*gaugedv1.GetCheckDocumentResponse, error) {
	in, err := sheet.GatherCheck(ctx, s.station, s.house, r.GetGaugeId(), r.GetCheckSeq())
	if err != nil {
		return nil, err
	}
	d := dcc.Input{
		Station: s.house.Station, Version: s.version, Shop: s.house.Shop, Gauge: in.Gauge.ID, Title: in.Gauge.Title, Check: in.Check, Record: in.Record, Language: binds,
	}
	for _, l := range words.Languages {
		d.Words = append(d.Words, words.In(l.Tag))
	}
	var b bytes.Buffer
	if err := dcc.Write(&b, d); err != nil {
		return nil, err
	}
	return &gaugedv1.GetCheckDocumentResponse{MediaType: "application/xml", FileName: fmt.Sprintf("check-%d.dcc.xml", in.Check.Seq), Content: b.Bytes()}, nil
}
