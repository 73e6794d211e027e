package demo

import (
	"embed"
	"io/fs"
)

//go:embed book/*.yaml
var bookFiles embed.FS

// Book is the reference book of the invented world: one YAML file a maker.
func Book() fs.FS {
	sub, err := fs.Sub(bookFiles, "book")
	if err != nil {
		panic(err) // the folder is embedded at build time
	}
	return sub
}
