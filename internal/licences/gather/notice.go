package main

import (
	"fmt"
	"strings"

	"midcase/internal/licences"
)

const noticeHead = `Midcase
Licensed under the Apache License, version 2.0; see LICENSE.

This list is written by: go run ./internal/licences/gather -notice
The texts themselves are gathered when the program is built, and printed by it:
  midcase licences --texts


What others wrote and the program contains

`

// noticeOf is the list of parts that is committed.
func noticeOf(parts []licences.Part) []byte {
	var b strings.Builder
	b.WriteString(noticeHead)
	for _, p := range parts {
		fmt.Fprintf(&b, "%s: %s\n", strings.TrimSpace(p.Name+" "+p.Version), p.Licence)
	}
	b.WriteString("\n\nLibraries under the LGPL\n\n")
	b.WriteString(licences.LGPL)
	return []byte(b.String())
}
