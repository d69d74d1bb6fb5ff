// Package assets has the style and the scripts of the page.
package assets

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"time"
)

//go:embed *.css *.js *.svg
var files embed.FS

// Assets are the style and the scripts. Their address has a version that
// changes with them, so that browsers may keep them.
type Assets struct {
	version string
	content map[string][]byte
}

// Load reads them.
func Load() (Assets, error) {
	a := Assets{content: map[string][]byte{}}
	sum := sha256.New()
	err := fs.WalkDir(files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := files.ReadFile(path)
		a.content[d.Name()] = content
		sum.Write([]byte(path))
		sum.Write(content)
		return err
	})
	a.version = hex.EncodeToString(sum.Sum(nil))[:12]
	return a, err
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
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(content))
}
