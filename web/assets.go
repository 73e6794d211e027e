// Package web holds what the pages send to the browser beside their HTML: the style
// sheet (static, written here) and the fonts and islands (dist, made from npm
// packages by web/build.mjs and not committed).
//
// A program built without that step still works: it uses the browser's own fonts and
// does without the islands, which no page needs.
package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"sync"
)

// Static is the folder static: the style sheet and drawings.
//
//go:embed static
var Static embed.FS

// Dist is the folder dist: fonts and bundled islands; perhaps empty.
//
//go:embed all:dist
var Dist embed.FS

// Built reports whether a file of dist, such as fonts/sans.woff2, was built.
func Built(name string) bool {
	_, err := fs.Stat(Dist, "dist/"+name)
	return err == nil
}

// Version changes with any byte of any file, so that a browser may keep a file for
// ever under an address that names the version.
var Version = sync.OnceValue(func() string {
	h := sha256.New()
	for _, folder := range []fs.FS{Static, Dist} {
		_ = fs.WalkDir(folder, ".", func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			b, err := fs.ReadFile(folder, path)
			h.Write([]byte(path))
			h.Write(b)
			return err
		})
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
})
