package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
)

// TestJobAsAFile: the bytes are written as they came, an older file is replaced, and is
// kept where nothing comes; a form of output is no name of a file.
func TestJobAsAFile(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.FitPartJob()), socket)
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	for _, x := range []struct {
		args       string
		code       int
		content    string // of the file afterwards
		out, wrong string
	}{
		{"job sheet 3 -o " + file, app.ExitFine, "JOB_DOCUMENT_FORM_SHEET_PDF \xff\n", "", "gaugectl: job 3 is written to " + file + "\n"},
		{"job sheet 3 --language de --output " + file, app.ExitFine, "JOB_DOCUMENT_FORM_SHEET_PDF de\xff\n", "", file},
		{"job sheet 3 --language xx -o " + file, app.ExitFailure, "JOB_DOCUMENT_FORM_SHEET_PDF de\xff\n", "", "there is no such language"},
		{"job qif 3 -o -", app.ExitUsage, "JOB_DOCUMENT_FORM_SHEET_PDF de\xff\n", "", "such as --output job-3.xml"},
		{"job qif 3 -o " + filepath.Join(file, "below"), app.ExitFailure, "JOB_DOCUMENT_FORM_SHEET_PDF de\xff\n", "", "writing to the directory " + file},
		{"job sheet 3", app.ExitUsage, "JOB_DOCUMENT_FORM_SHEET_PDF de\xff\n", "", "such as --output job-3.pdf"},
		{"job qif 3 -o json", app.ExitUsage, "JOB_DOCUMENT_FORM_SHEET_PDF de\xff\n", "", "such as --output job-3.xml"},
	} {
		code, out, wrong := call(t, socket, "", strings.Fields(x.args)...)
		content, err := os.ReadFile(file)
		if err != nil || code != x.code || string(content) != x.content || out != x.out || !strings.Contains(wrong, x.wrong) {
			t.Errorf("%s: exit %d, %q, %q; the file has %q, %v", x.args, code, out, wrong, content, err)
		}
	}
	if _, err := os.Stat("json"); err == nil {
		t.Error("a file json was written")
	}
}

// TestCheckAsAFile: a check by its number, or the newest one.
func TestCheckAsAFile(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(nil), socket)
	file := filepath.Join(t.TempDir(), "check.pdf")
	for _, x := range []struct {
		args    string
		code    int
		content string // of the file afterwards
		wrong   string
	}{
		{"master sheet dial 41 -o " + file, app.ExitFine, "CHECK_DOCUMENT_FORM_SHEET_PDF dial 41 \xff\n", "gaugectl: check 41 of dial is written to " + file + "\n"},
		{"master sheet dial --language de --output " + file, app.ExitFine, "CHECK_DOCUMENT_FORM_SHEET_PDF dial 0 de\xff\n", "check 41 of dial"},
		{"master dcc dial 41 --language de -o " + file, app.ExitFine, "CHECK_DOCUMENT_FORM_DCC dial 41 de\xff\n", "check 41 of dial"},
		{"master sheet dial --language de --output " + file, app.ExitFine, "CHECK_DOCUMENT_FORM_SHEET_PDF dial 0 de\xff\n", "check 41 of dial"},
		{"master sheet dial last -o " + file, app.ExitUsage, "CHECK_DOCUMENT_FORM_SHEET_PDF dial 0 de\xff\n", "gaugectl checks dial shows them"},
		{"master sheet dial", app.ExitUsage, "CHECK_DOCUMENT_FORM_SHEET_PDF dial 0 de\xff\n", "such as --output check.pdf"},
	} {
		code, out, wrong := call(t, socket, "", strings.Fields(x.args)...)
		content, err := os.ReadFile(file)
		if err != nil || code != x.code || string(content) != x.content || out != "" || !strings.Contains(wrong, x.wrong) {
			t.Errorf("%s: exit %d, %q, %q; the file has %q, %v", x.args, code, out, wrong, content, err)
		}
	}
}
