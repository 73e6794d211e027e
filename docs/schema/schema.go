// Package schema carries the JSON Schemas of the files that Midcase reads and writes, as they stand in this folder, so
// that a program can hand them on.
//
// Nothing goes in. Out comes one schema by the name of its file; it refuses a name that is not there. The tests of the
// packages that own the types write the files anew.
package schema

import "embed"

//go:embed *.schema.json
var files embed.FS

// File returns a schema by its file's name, such as watch.schema.json.
func File(name string) ([]byte, error) { return files.ReadFile(name) }
