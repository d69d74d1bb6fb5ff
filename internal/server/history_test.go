package server

import (
	"fmt"
	"testing"

	"google.golang.org/grpc/codes"

	"gauged/internal/gauge"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

func wantText(t testing.TB, got any, want string) {
	t.Helper()
	if text := fmt.Sprint(got); text != want {
		t.Errorf("got %s, want %s", text, want)
	}
}

// pages reads every reading of a gauge, so many at once.
func (r *rig) pages(gaugeID string, limit uint32) (shown []string, pages int) {
	r.t.Helper()
	request := &gaugedv1.ListReadingsRequest{GaugeId: gaugeID, PageSize: limit}
	for {
		answer, err := r.history.ListReadings(r.t.Context(), request)
		if err == nil && (answer.GetNextPageToken() == "") != (answer.GetHistoryHead().GetLine() != "") {
			r.t.Errorf("the head comes with the last page: %v, %q", answer.GetHistoryHead(), answer.GetNextPageToken())
		}
		if err != nil {
			r.t.Fatal(err)
		}
		pages++
		for _, m := range answer.GetReadings() {
			shown = append(shown, m.GetValue().GetText())
		}
		if request.PageToken = answer.GetNextPageToken(); request.GetPageToken() == "" {
			return shown, pages
		}
	}
}

func TestReadingsComeInPages(t *testing.T) {
	r := newRig(t)
	for i := range 4 {
		r.report("line", numbered(i))
		r.report("button", numbered(10+i))
	}
	for limit, wantPages := range map[uint32]int{0: 1, 1: 4, 2: 2, 3: 2, 4: 1, 99999: 1} {
		shown, pages := r.pages("line", limit)
		wantText(t, shown, "[0.000 0.001 0.002 0.003]")
		if pages != wantPages {
			t.Errorf("limit %d: %d pages, want %d", limit, pages, wantPages)
		}
	}
	shown, _ := r.pages("", 3)
	wantText(t, shown, "[0.000 0.010 0.001 0.011 0.002 0.012 0.003 0.013]")
	_, err := r.history.ListReadings(t.Context(), &gaugedv1.ListReadingsRequest{GaugeId: "non"})
	wantStatus(t, err, codes.NotFound, `there is no gauge "non": there are button, line, micrometer, pressed, sent`)
}

// TestLongestPage: one that is as long as a page may be leads to the next.
func TestLongestPage(t *testing.T) {
	r := newRig(t)
	stream, _ := r.open(t.Context(), "program")
	const all = 2*mostOnPage + 1
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(1, mostOnPage)})
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(mostOnPage+1, all)})
	for acknowledged(t, stream).GetDurableThroughSeq() < all {
	}
	for _, id := range []string{"", "sent"} {
		if shown, pages := r.pages(id, mostOnPage); len(shown) != all || pages != 3 {
			t.Errorf("gauge %q: %d readings on %d pages, want %d on 3", id, len(shown), pages, all)
		}
	}
}

func TestLongEntriesMakeAPageShorter(t *testing.T) {
	r := newRig(t)
	for i := range 3 {
		long := reading("line", numbered(i))
		long.Raw = make([]byte, maxPage/2-100)
		r.Report(station.Report{Reading: long})
	}
	r.eventually("they are stored", func() bool { return r.readings("line") == 3 })
	shown, pages := r.pages("line", 0)
	wantText(t, shown, "[0.000 0.001 0.002]")
	if pages != 2 {
		t.Errorf("%d pages, want 2", pages)
	}
}

func TestRejectsComeInPages(t *testing.T) {
	r := newRig(t)
	before := r.Newest()
	for i := range 3 {
		r.Report(station.Report{Reject: &gauge.Reject{Gauge: "line", Time: reading("line", "1").Time, Reason: gauge.ReasonNoise, Detail: gauge.Plain("a \xff byte"), Raw: []byte{byte(i), 0xff}}})
	}
	r.eventually("they are stored", func() bool { return r.Newest() == before+3 })
	request := &gaugedv1.ListRejectsRequest{GaugeId: "line", PageSize: 2}
	first, err := r.history.ListRejects(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	request.PageToken = first.GetNextPageToken()
	second, err := r.history.ListRejects(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	all := append(first.GetRejects(), second.GetRejects()...)
	if len(first.GetRejects()) != 2 || len(all) != 3 || second.GetNextPageToken() != "" {
		t.Fatalf("pages of %d and %d, then %q", len(first.GetRejects()), len(second.GetRejects()), second.GetNextPageToken())
	}
	for i, m := range all {
		if m.GetRaw()[0] != byte(i) || m.GetReason() != gaugedv1.RejectReason_REJECT_REASON_NOISE || told(m.GetDetail()) != "a ? byte" {
			t.Errorf("reject %d = %v", i, m)
		}
	}
}

func TestFilesAndErrorsOfTheHistory(t *testing.T) {
	r := newRig(t)
	file, err := r.history.GetFile(t.Context(), &gaugedv1.GetFileRequest{Hash: gauge.HashContent([]byte(ringProcedure))})
	if err != nil {
		t.Fatal(err)
	}
	if file.GetKind() != gaugedv1.FileKind_FILE_KIND_PROCEDURE || file.GetId() != "ring" || string(file.GetContent()) != ringProcedure || file.GetFirstSeenTime() == nil {
		t.Errorf("file = %v", file)
	}
	_, err = r.history.GetFile(t.Context(), &gaugedv1.GetFileRequest{Hash: "12"})
	wantStatus(t, err, codes.NotFound, `no file version has the hash "12"`)
	_, err = r.history.ListJobFacts(t.Context(), &gaugedv1.ListJobFactsRequest{JobId: 3})
	wantStatus(t, err, codes.NotFound, "there is no job 3")
	_, err = r.history.ReplayVerdicts(t.Context(), &gaugedv1.ReplayVerdictsRequest{JobId: 3})
	wantStatus(t, err, codes.NotFound, "there is no job 3")
}
