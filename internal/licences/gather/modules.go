package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"sort"
	"strings"

	"midcase/internal/licences"
)

// systems are those that the program is built for; some modules belong to one alone.
var systems = []string{"linux", "darwin", "windows"}

// listed is what `go list` says of a package.
type listed struct {
	ImportPath string
	Dir        string
	Standard   bool
	EmbedFiles []string
	Module     *struct {
		Path, Version, Dir string
		Main               bool
	}
}

func moduleRoot() (string, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	if err != nil {
		return "", fmt.Errorf("go list -m: %w", err)
	}
	return strings.TrimSpace(string(out)), nil
}

// modules gathers the Go modules of the program and the standard library.
func modules(root string) ([]licences.Part, error) {
	found := map[string]*gathering{}
	for _, system := range systems {
		packages, err := list(root, system)
		if err != nil {
			return nil, err
		}
		for _, p := range packages {
			if err := add(found, p); err != nil {
				return nil, err
			}
		}
	}
	std, err := standardLibrary()
	if err != nil {
		return nil, err
	}
	parts := []licences.Part{std}
	for _, g := range found {
		part, err := g.part()
		if err != nil {
			return nil, err
		}
		parts = append(parts, part)
	}
	sort.Slice(parts, func(i, j int) bool { return parts[i].Name < parts[j].Name })
	return parts, nil
}

func list(root, system string) ([]listed, error) {
	c := exec.Command("go", "list", "-deps", "-tags=nodynamic", "-json=ImportPath,Dir,Standard,EmbedFiles,Module",
		"./cmd/midcase")
	c.Dir = root
	c.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0")
	out, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("go list for %s: %w", system, err)
	}
	var packages []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return packages, nil
		} else if err != nil {
			return nil, fmt.Errorf("go list for %s: %w", system, err)
		}
		packages = append(packages, p)
	}
}

// gathering is a module whose licence files are being collected.
type gathering struct {
	path, version, dir string
	files              map[string]bool // relative to dir
}

func add(found map[string]*gathering, p listed) error {
	if p.Standard || p.Module == nil || p.Module.Main {
		return nil
	}
	g := found[p.Module.Path]
	if g == nil {
		g = &gathering{path: p.Module.Path, version: p.Module.Version, dir: p.Module.Dir, files: map[string]bool{}}
		found[p.Module.Path] = g
	}
	dirs := map[string]bool{p.Dir: true}
	for _, f := range p.EmbedFiles {
		dirs[filepath.Dir(filepath.Join(p.Dir, f))] = true
	}
	for dir := range dirs {
		if err := g.upFrom(dir); err != nil {
			return err
		}
	}
	return nil
}

// licenceName matches the files that hold licences, in the spellings that are met with.
var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|unlicense|notice|patents|third_party_licenses)`)

// upFrom takes the licence files of a folder and of those above it, up to the module's.
func (g *gathering) upFrom(dir string) error {
	for ; strings.HasPrefix(dir, g.dir); dir = filepath.Dir(dir) {
		if err := g.take(dir, licenceName.MatchString); err != nil {
			return err
		}
	}
	return nil
}

func (g *gathering) take(dir string, wanted func(name string) bool) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		switch at := filepath.Join(dir, e.Name()); {
		case !wanted(e.Name()) || strings.HasSuffix(e.Name(), ".go"):
		case e.IsDir():
			if err := g.take(at, func(string) bool { return true }); err != nil {
				return err
			}
		default:
			rel, err := filepath.Rel(g.dir, at)
			if err != nil {
				return err
			}
			g.files[filepath.ToSlash(rel)] = true
		}
	}
	return nil
}

func (g *gathering) part() (licences.Part, error) {
	p := licences.Part{Name: g.path, Version: g.version, Source: "https://pkg.go.dev/" + g.path + "@" + g.version}
	var err error
	if p.Texts, err = texts(g.dir, g.files); err != nil {
		return p, err
	}
	p.Licence, err = licenceOf(p)
	return p, err
}

func texts(dir string, files map[string]bool) ([]licences.Text, error) {
	var out []licences.Text
	for f := range files {
		b, err := os.ReadFile(filepath.Join(dir, f))
		if err != nil {
			return nil, err
		}
		out = append(out, licences.Text{File: f, Text: strings.ToValidUTF8(string(b), "?")})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].File < out[j].File })
	return out, nil
}

func standardLibrary() (licences.Part, error) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return licences.Part{}, fmt.Errorf("go env GOROOT: %w", err)
	}
	root := strings.TrimSpace(string(out))
	// NOTICE is the same whichever patch release builds it, so no version is given.
	p := licences.Part{Name: "go standard library", Source: "https://go.dev/dl/"}
	if p.Texts, err = texts(root, map[string]bool{"LICENSE": true, "PATENTS": true}); err != nil {
		return p, err
	}
	p.Licence, err = licenceOf(p)
	return p, err
}
