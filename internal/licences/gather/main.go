// Command gather collects the licences of what the program contains.
//
//	go run ./internal/licences/gather          writes the texts for the build
//	go run ./internal/licences/gather -notice  writes NOTICE, the list that is committed
//
// It asks `go list` for the packages of the program, on each system that it is built
// for, and takes the licence files beside them and beside the files embedded by them;
// browser packages are read from web/package.json and web/node_modules.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"midcase/internal/licences"
)

func main() {
	notice := flag.Bool("notice", false, "write NOTICE instead of the texts")
	flag.Parse()
	if err := run(*notice); err != nil {
		fmt.Fprintln(os.Stderr, "gather:", err)
		os.Exit(1)
	}
}

func run(notice bool) error {
	root, err := moduleRoot()
	if err != nil {
		return err
	}
	parts, err := modules(root)
	if err != nil {
		return err
	}
	web, err := browserPackages(root, !notice)
	if err != nil {
		return err
	}
	parts = append(parts, web...)
	if notice {
		return os.WriteFile(filepath.Join(root, "NOTICE"), noticeOf(parts), 0o644)
	}
	b, err := json.Marshal(parts)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(root, "internal/licences/gathered", licences.TextsFile), b, 0o644)
}
