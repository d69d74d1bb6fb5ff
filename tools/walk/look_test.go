//go:build walk

package walk

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// firstEvent reads a stream to the end of its first event, and closes it.
func firstEvent(body io.Reader) (string, error) {
	var event strings.Builder
	for lines := bufio.NewReader(body); ; {
		line, err := lines.ReadString('\n')
		if err != nil {
			return "", fmt.Errorf("the stream ends before its first event: %w", err)
		}
		if line == "\n" {
			return event.String(), nil
		}
		event.WriteString(line)
	}
}

// look reads an answer of a kind and returns what can be read in it.
func (w *walker) look(kind, text, address string) (string, error) {
	if strings.TrimSpace(text) == "" {
		return "", errors.New("it is empty")
	}
	switch kind {
	case "text/html":
		return w.lookAtPage(text, address)
	case "image/svg+xml":
		return drawn(text)
	case "application/pdf":
		return w.readPDF(text)
	case "text/event-stream":
		_, data, _ := strings.Cut(text, "data: ")
		var regions map[string]string
		if err := json.Unmarshal([]byte(data), &regions); err != nil {
			return "", fmt.Errorf("the event %q: %w", text, err)
		}
		var said strings.Builder
		for _, region := range regions {
			d, err := parse(region)
			if err != nil {
				return "", err
			}
			said.WriteString(d.text)
		}
		return said.String(), nil
	case "text/csv":
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err == nil && len(rows) < 2 {
			err = errors.New("there are no rows")
		}
		for _, cell := range slices.Concat(rows...) {
			if _, number := strconv.ParseFloat(cell, 64); number != nil && strings.IndexAny(cell, "=+-@\t\r") == 0 {
				err = fmt.Errorf("a spreadsheet would compute %q", cell)
			}
		}
		return text, err
	case "text/plain", "text/javascript", "text/css", "application/yaml":
		return text, nil
	case "image/png", "image/jpeg", "image/x-icon":
		return "", nil
	}
	return "", fmt.Errorf("it is of an unknown kind: %q", kind)
}

func (w *walker) lookAtPage(text, address string) (string, error) {
	d, err := parse(text)
	if err != nil {
		return "", err
	}
	if d.language != w.language {
		return "", fmt.Errorf("it is in %q", d.language)
	}
	if len(strings.Fields(d.main)) < 3 {
		return "", fmt.Errorf("nothing can be read on it but %q", d.main)
	}
	base, err := url.Parse(address)
	if err != nil {
		return "", err
	}
	for _, form := range d.forms {
		w.asked[w.go_(form, address)] = true
	}
	for _, link := range d.links {
		if fragment, ok := strings.CutPrefix(link, "#"); ok {
			if !slices.Contains(d.ids, fragment) {
				return "", fmt.Errorf("it leads to %s, which is not there", link)
			}
			continue
		}
		to, err := base.Parse(link)
		if err != nil {
			return "", fmt.Errorf("it leads to %q: %w", link, err)
		}
		w.go_(to.String(), address)
	}
	return d.text, nil
}

// drawn reads the texts of a drawing.
func drawn(svg string) (string, error) {
	var said strings.Builder
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return said.String(), nil
		}
		if err != nil {
			return "", err
		}
		switch token := token.(type) {
		case xml.CharData:
			said.Write(token)
			said.WriteByte(' ')
		case xml.StartElement:
			for _, a := range token.Attr {
				if found := wrong(a.Value); found != "" {
					return "", fmt.Errorf("%s of %s: %s", a.Name.Local, token.Name.Local, found)
				}
			}
		}
	}
}

// readPDF has pdftotext read a PDF.
func (w *walker) readPDF(content string) (string, error) {
	file := filepath.Join(w.TempDir(), "read.pdf")
	if err := os.WriteFile(file, []byte(content), 0o600); err != nil {
		return "", err
	}
	out, err := exec.CommandContext(w.Context(), "pdftotext", "-raw", file, "-").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("pdftotext, of Debian's package poppler-utils: %w: %s", err, out)
	}
	return strings.Join(strings.Fields(string(out)), " "), nil
}
