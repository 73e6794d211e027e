package web

import (
	"io/fs"
	"net/http"
	"strings"

	assets "midcase/web"
)

// How long a browser may keep an asset. Under an address that names its version it
// never changes; fonts are named by the style sheet without one and hardly ever change;
// the rest is asked for again each time and mostly not sent again.
const (
	forEver   = "public, max-age=31536000, immutable"
	forADay   = "public, max-age=86400"
	askAgain  = "no-cache"
	fontsPath = "fonts/"
)

// assetFiles serves static files and, where they were built, fonts and islands.
func assetFiles() http.Handler {
	static, err := fs.Sub(assets.Static, "static")
	if err != nil {
		panic(err) // the folder is embedded at build time
	}
	dist, err := fs.Sub(assets.Dist, "dist")
	if err != nil {
		panic(err)
	}
	return http.StripPrefix("/assets/", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := r.URL.Path
		files := dist
		if _, err := fs.Stat(static, name); err == nil {
			files = static
		}
		if info, err := fs.Stat(files, name); err != nil || info.IsDir() {
			http.NotFound(w, r)
			return
		}
		switch {
		case r.FormValue("v") == assets.Version():
			w.Header().Set("Cache-Control", forEver)
		case strings.HasPrefix(name, fontsPath):
			w.Header().Set("Cache-Control", forADay)
		default:
			w.Header().Set("Cache-Control", askAgain)
		}
		// Weak, since the bytes differ with the encoding that is agreed on.
		w.Header().Set("ETag", `W/"`+assets.Version()+`"`)
		http.FileServerFS(files).ServeHTTP(w, r)
	}))
}
