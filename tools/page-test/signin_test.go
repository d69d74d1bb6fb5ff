//go:build page

package pagetest

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/security"
	"github.com/chromedp/chromedp"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	pb "gauged/api/gauged/v1"
)

// access is the door behind which it is said who may come in: the socket, where the user
// who runs the test is known.
func (b *bench) access() pb.AccessServiceClient {
	b.Helper()
	conn, err := grpc.NewClient("unix://"+filepath.Join(b.dir, "s"), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close() })
	return pb.NewAccessServiceClient(conn)
}

// TestPairedTablet: a tablet over TLS sees nothing until it is paired with the code that is
// shown once; a technician says with a PIN who they are where a job begins and where it is
// closed, by the pad of the page alone, and what they may not do they are told. Afterwards
// the tablet is unpaired, and a page that is open ends.
func TestPairedTablet(t *testing.T) {
	b := newBench(t, "access: open\n", "tls: {own: yes}\n", "127.0.0.1:", "0.0.0.0:") // loopback needs no TLS
	door := b.access()
	for name, of := range map[string]*pb.AddPersonRequest{
		"A. Turner": {Role: pb.Role_ROLE_TECHNICIAN, Pin: "4711"},
		"K. Weber":  {Role: pb.Role_ROLE_QUALITY, Pin: "0815", Badge: "badge-0077"},
	} {
		of.Name = name
		if _, err := door.AddPerson(t.Context(), of); err != nil {
			t.Fatal(err)
		}
	}
	s := b.newScreen("en")
	s.refusals(true)
	s.do(command(security.SetIgnoreCertificateErrors, security.SetIgnoreCertificateErrorsParams{Ignore: true}))
	s.open("/gauges")
	s.until(`location.pathname === "/pair"`)
	if text := s.text("body"); strings.Contains(text, "Turner") || strings.Contains(text, "depth") {
		t.Errorf("a device that is not paired reads %s", text)
	}
	code, err := door.BeginPairing(t.Context(), &pb.BeginPairingRequest{})
	if err != nil {
		t.Fatal(err)
	}
	s.fill("#code", code.GetCode())
	s.fill("#device", "tablet")
	s.touch("#pair")
	s.until(`location.pathname === "/who"`)
	s.open("/start?procedure=ring&serial=PT-1")
	s.touch("#start")
	s.there("#pin")
	s.shows("main", "Sign this?", "Start a job on unit PT-1", "A. Turner", "K. Weber")
	s.accessible("who")
	s.fits("who")
	s.look("who")
	s.touch(`input[value="A. Turner"]`)
	s.pin("4712")
	s.shows("#why", "not right")
	s.touch(`input[value="A. Turner"]`)
	s.pin("4711")
	s.until(`location.pathname === "/jobs/1"`)
	s.shows("header", "A. Turner")
	s.open("/gauges/spare")
	s.settled()
	s.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("form[action$=standing]").closest("details")?.setAttribute("open", ""); document.querySelector("[name=standing]").value = "retired"; document.querySelector("form[action$=standing] [name=reason]").value = "worn"; document.querySelector("form[action$=standing]").requestSubmit()`))
	s.there("#pin")
	s.shows("main", "K. Weber")
	s.shows("#does", "Change the standing of gauge spare")
	s.shows("#prepared", "retired", "worn", "A. Turner", "No, leave it")
	s.accessible("prepared")
	s.fits("prepared")
	s.look("prepared")
	s.seenWithPIN()
	s.fill("#pin", "badge-0077")
	s.touch("#enter")
	s.until(`location.pathname === "/gauges/spare"`)
	s.shows("main", "retired", "worn")
	s.open("/jobs/1")
	s.settled()
	s.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("close-reason").value = "another unit came first"; document.getElementById("close-reason").form.requestSubmit()`))
	s.there("#pin") // the script left the page with what was sent
	s.touch(`input[value="A. Turner"]`)
	s.pin("4711")
	s.until(`location.pathname === "/jobs/1"`)
	s.there("#next-unit")
	if shown := b.gaugectl("job", "show", "1"); !strings.Contains(shown, "another unit came first") || !strings.Contains(shown, "A. Turner") {
		t.Errorf("the job was closed so:\n%s", shown)
	}
	s.open("/gauges") // which follows what changes
	devices, err := door.ListDevices(t.Context(), &pb.ListDevicesRequest{})
	if err != nil || len(devices.GetDevices()) != 1 {
		t.Fatalf("%v %v", devices, err)
	}
	if _, err := door.UnpairDevice(t.Context(), &pb.UnpairDeviceRequest{DeviceId: devices.GetDevices()[0].GetDeviceId()}); err != nil {
		t.Fatal(err)
	}
	s.until(`!document.getElementById("lost").hidden`)
	s.open("/jobs/1")
	s.until(`location.pathname === "/pair"`)
}

// seenWithPIN fails the test when what is signed and the field of the PIN are not seen together
// on a phone of 640 px, of which the keyboard takes 280. The browser scrolls the field into what
// is left.
func (s *screen) seenWithPIN() {
	s.Helper()
	s.do(chromedp.EmulateViewport(360, 640))
	s.touch("#pin")
	s.do(chromedp.EmulateViewport(360, 360))
	for _, block := range []string{"nearest", "center", "end"} {
		s.do(chromedp.Evaluate[chromedp.Void](`scrollTo(0, 0); document.getElementById("pin").scrollIntoView({ block: "` + block + `" })`))
		for _, hidden := range value[[]string](s, `["#does", "#pin"].filter((one) => {
			const box = document.querySelector(one).getBoundingClientRect(), over = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
			return box.top < 0 || box.bottom > innerHeight || !over?.closest(one);
		})`) {
			s.Errorf("over a keyboard, the field scrolled to %s: %s is not seen", block, hidden)
		}
	}
	s.do(chromedp.EmulateViewport(1280, 800))
}

// pin types a PIN on the pad of the page.
func (s *screen) pin(digits string) {
	s.Helper()
	for _, digit := range digits {
		s.touch(`main [data-key="` + string(digit) + `"]`)
	}
	s.touch("#enter")
}
