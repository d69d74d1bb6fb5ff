package page

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"time"
)

//go:embed assets
var assetFiles embed.FS

// assets are the style and the scripts. Their address has a version that
// changes with them, so that browsers may keep them.
type assets struct {
	version string
	content map[string][]byte
}

func loadAssets() (assets, error) {
	a := assets{content: map[string][]byte{}}
	sum := sha256.New()
	err := fs.WalkDir(assetFiles, "assets", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := assetFiles.ReadFile(path)
		a.content[d.Name()] = content
		sum.Write([]byte(path))
		sum.Write(content)
		return err
	})
	a.version = hex.EncodeToString(sum.Sum(nil))[:12]
	return a, err
}

// path returns the address of an asset.
func (a assets) path(name string) string { return "/assets/" + a.version + "/" + name }

func (a assets) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	content, ok := a.content[name]
	if !ok || r.PathValue("version") != a.version {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(content))
}
