// Package assets has the style and the scripts of the page.
package assets

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"strings"
	"time"
)

//go:embed *.css *.js *.svg
var files embed.FS

// Assets are the style and the scripts. Their address has a version that
// changes with them, so that browsers may keep them.
type Assets struct {
	version string
	content map[string]asset
}

// asset is a file as it is, and as it weighs less on the wire. It is the same for everybody,
// so that its length tells nothing of what a page has in it.
type asset struct{ plain, gzip []byte }

// Load reads them.
func Load() (Assets, error) {
	a := Assets{content: map[string]asset{}}
	sum := sha256.New()
	err := fs.WalkDir(files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := files.ReadFile(path)
		if err != nil {
			return err
		}
		sum.Write([]byte(path))
		sum.Write(content)
		small, err := compressed(content)
		a.content[d.Name()] = asset{content, small}
		return err
	})
	a.version = hex.EncodeToString(sum.Sum(nil))[:12]
	return a, err
}

func compressed(content []byte) ([]byte, error) {
	var small bytes.Buffer
	w, err := gzip.NewWriterLevel(&small, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(content); err != nil {
		return nil, err
	}
	err = w.Close()
	return small.Bytes(), err
}

// Path returns the address of an asset.
func (a Assets) Path(name string) string { return "/assets/" + a.version + "/" + name }

// ServeHTTP answers with the asset that the path names, in this version.
func (a Assets) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	content, ok := a.content[name]
	if !ok || r.PathValue("version") != a.version {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	w.Header().Set("Vary", "Accept-Encoding")
	body := content.plain
	if takesGzip(r.Header.Get("Accept-Encoding")) {
		w.Header().Set("Content-Encoding", "gzip")
		body = content.gzip
	}
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(body))
}

// takesGzip reports whether a header of accepted encodings names gzip and does not forbid it.
func takesGzip(accepted string) bool {
	for one := range strings.SplitSeq(accepted, ",") {
		name, q, _ := strings.Cut(strings.ReplaceAll(one, " ", ""), ";")
		if strings.EqualFold(name, "gzip") {
			return strings.Trim(strings.TrimPrefix(q, "q="), "0.") != "" || q == ""
		}
	}
	return false
}
