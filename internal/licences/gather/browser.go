package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"sort"

	"midcase/internal/licences"
)

// lockFile is what matters here of web/package-lock.json.
type lockFile struct {
	Packages map[string]struct {
		Version      string            `json:"version"`
		License      string            `json:"license"`
		Dev          bool              `json:"dev"`
		Dependencies map[string]string `json:"dependencies"`
	} `json:"packages"`
}

// browserPackages are the npm packages whose files the program carries: all that are not
// for development alone. The texts come from web/node_modules.
func browserPackages(root string, withTexts bool) ([]licences.Part, error) {
	b, err := os.ReadFile(filepath.Join(root, "web/package-lock.json"))
	if err != nil {
		return nil, err
	}
	var lock lockFile
	if err := json.Unmarshal(b, &lock); err != nil {
		return nil, fmt.Errorf("web/package-lock.json: %w", err)
	}
	var parts []licences.Part
	for at, p := range lock.Packages {
		if at == "" || p.Dev {
			continue
		}
		name := filepath.ToSlash(at[len("node_modules/"):])
		part := licences.Part{Name: name, Version: p.Version, Licence: p.License,
			Source: "https://www.npmjs.com/package/" + name}
		if withTexts {
			if part.Texts, err = texts(filepath.Join(root, "web", at), map[string]bool{"LICENSE": true}); err != nil {
				return nil, fmt.Errorf("%s: %w; run make, which installs the packages", name, err)
			}
		}
		parts = append(parts, part)
	}
	sort.Slice(parts, func(i, j int) bool { return parts[i].Name < parts[j].Name })
	return parts, nil
}
