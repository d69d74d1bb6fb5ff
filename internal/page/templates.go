package page

import (
	"bytes"
	"cmp"
	"embed"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/page/assets"
	"gauged/internal/page/signin"
	"gauged/internal/words"
)

//go:embed all:templates
var templateFiles embed.FS

// templates are the pages in each language. templates/NAME.html is a page,
// written into the frame; files that begin with an underscore are parts that any
// page may use.
type templates map[words.Language]map[string]*template.Template

func loadTemplates(c *words.Catalogue, a assets.Assets) (templates, error) {
	pages, err := fs.Glob(templateFiles, "templates/[a-z]*.html")
	if err != nil {
		return nil, err
	}
	all := templates{}
	for _, l := range words.Languages {
		shared, err := template.New("frame").Funcs(functions(c.In(l.Tag).WithSigns(), a)).ParseFS(templateFiles, "templates/_*.html")
		if err != nil {
			return nil, fmt.Errorf("templates of the page: %w", err)
		}
		all[l.Tag] = map[string]*template.Template{}
		for _, file := range pages {
			t, err := shared.Clone()
			if err == nil {
				t, err = t.ParseFS(templateFiles, file)
			}
			if err != nil {
				return nil, fmt.Errorf("templates of the page: %w", err)
			}
			all[l.Tag][strings.TrimSuffix(path.Base(file), ".html")] = t
		}
	}
	return all, nil
}

// view is what the frame of a page needs.
type view struct {
	Station  string
	Language words.Language
	Light    string
	Who      string // works on this device, when it was proven; empty: nobody is asked, or nobody said
	Closed   bool   // people say who they are
	At       string // the page's own path and query
	Stream   string // address of its stream; empty: it does not change by itself
	Alive    string // the same, or that of what is wrong alone; empty: nobody is let in here
	Troubles []gauge.Message
	Page     any // what the page itself shows
}

// streamed is what a page shows that changes by itself.
type streamed interface{ stream() string }

// write answers with a page. It is written only when all of it could be made.
func (p *Page) write(w http.ResponseWriter, r *request, name string, content any) error {
	v := view{Station: p.o.Name, Language: r.words.Language(), Light: r.settings.Light, At: r.URL.RequestURI(), Page: content}
	if signer := signin.SignerOf(r.Request); signer.Closed {
		v.Closed, v.Who = true, signer.Name
	}
	if s, ok := content.(streamed); ok {
		v.Stream = s.stream()
	}
	if caller, _ := access.From(r.Context()); caller.Role != access.RoleNone {
		v.Alive, v.Troubles = cmp.Or(v.Stream, "/troubles/stream"), p.o.Station.Troubles()
	}
	if r.Method != http.MethodGet {
		v.At = "/"
	}
	var out bytes.Buffer
	if err := p.templates[r.words.Language()][name].ExecuteTemplate(&out, "frame", v); err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, err := io.Copy(w, &out)
	return err
}

// region writes one region of a page.
func (p *Page) region(l words.Language, page, name string, content any) (string, error) {
	var out strings.Builder
	if err := p.templates[l][page].ExecuteTemplate(&out, name, content); err != nil {
		return "", fmt.Errorf("region %s of page %s: %w", name, page, err)
	}
	return out.String(), nil
}
