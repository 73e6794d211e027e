package licences

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strings"
)

// TextsFile is the file in the folder gathered that the build writes.
const TextsFile = "texts.json"

//go:embed all:gathered
var gathered embed.FS

// ErrNotGathered says that this program was built without the texts.
var ErrNotGathered = errors.New(
	"this program was built without the licence texts; build it with make, which gathers them")

// Part is one module or package that the program contains.
type Part struct {
	Name    string `json:"name"`
	Version string `json:"version"`
	Licence string `json:"licence"` // by SPDX's short names, several joined by " and "
	Source  string `json:"source"`  // where its source is published
	Texts   []Text `json:"texts"`
}

// Text is one licence text as it came.
type Text struct {
	File string `json:"file"` // within the module or package
	Text string `json:"text"`
}

// Gathered returns what the program contains, by name.
func Gathered() ([]Part, error) {
	b, err := gathered.ReadFile("gathered/" + TextsFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNotGathered
	}
	if err != nil {
		return nil, fmt.Errorf("read the licence texts: %w", err)
	}
	return read(b)
}

func read(b []byte) ([]Part, error) {
	var parts []Part
	if err := json.Unmarshal(b, &parts); err != nil {
		return nil, fmt.Errorf("read the licence texts: %w", err)
	}
	return parts, nil
}

// Find returns the parts whose name contains the text, without regard to case.
func Find(parts []Part, text string) []Part {
	var out []Part
	for _, p := range parts {
		if strings.Contains(strings.ToLower(p.Name), strings.ToLower(text)) {
			out = append(out, p)
		}
	}
	return out
}

// LGPLModule is the one module that carries libraries under the LGPL.
const LGPLModule = "github.com/gen2brain/heic"

// LGPL says what the libraries under the LGPL ask of whoever passes the program on, and
// what they allow whoever receives it.
const LGPL = `libheif and libde265 read HEIC pictures. They are licensed under the GNU Lesser General
Public License, version 3. They are inside the program as a WebAssembly file that the Go
module github.com/gen2brain/heic carries (lib/heif.wasm.gz), and run in a sandbox.

Source. The libraries: https://github.com/strukturag/libheif and
https://github.com/strukturag/libde265; the module's lib/Makefile names the versions,
makes a few changes to them and builds the file. The module:
https://github.com/gen2brain/heic. The program: its own source, under Apache-2.0.

Replacing them. You may change the libraries and run the program with your own:
 1. copy the module's source, change the libraries, build lib/heif.wasm with
    lib/Makefile, and compress it with gzip to lib/heif.wasm.gz;
 2. in this program's source: go mod edit -replace github.com/gen2brain/heic=COPY
 3. make
You may also take the program apart to find faults in such changes.

Passing it on. Whoever passes on a built program passes on these licence texts and this
note too, and makes sure that the source of the libraries, of the module and of the
program can be had in the versions that were built. A program built with make uses no
other copy of the libraries.

This is how we read the licences; the licences themselves decide.
`
