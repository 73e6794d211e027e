package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"midcase/internal/licences"
)

func TestKindOf(t *testing.T) {
	for text, want := range map[string]string{
		"Permission is hereby granted,\n free of charge, to any person":                                                       "MIT",
		"Redistribution and use in source and binary forms … Neither the name of X":                                           "BSD-3-Clause",
		"Redistribution and use in source and binary forms, with or without modification":                                     "BSD-2-Clause",
		"                   GNU LESSER GENERAL PUBLIC LICENSE\n                       Version 3, 29 June 2007":                "LGPL-3.0",
		"Permission to use, copy, modify, and distribute this software for any purpose with or without fee is hereby granted": "ISC",
		"Apache License\nVersion 2.0, January 2004":                                                                           "Apache-2.0",
		"All rights reserved.": "",
	} {
		if got := kindOf(text); got != want {
			t.Errorf("%.40q is called %q, want %q", text, got, want)
		}
	}
}

func TestAnUnknownLicenceIsAnError(t *testing.T) {
	p := licences.Part{Name: "example.org/x", Version: "v1",
		Texts: []licences.Text{{File: "LICENSE", Text: "Ask first."}}}
	if _, err := licenceOf(p); err == nil || !strings.Contains(err.Error(), "example.org/x v1") {
		t.Errorf("got %v, want an error that names the module", err)
	}
}

// NOTICE lists what go.mod and the lock file of the browser packages bring in.
func TestNoticeIsCurrent(t *testing.T) {
	root, err := moduleRoot()
	if err != nil {
		t.Fatal(err)
	}
	parts, err := modules(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range parts {
		if lgpl := strings.Contains(p.Licence, "LGPL"); lgpl != (p.Name == licences.LGPLModule) {
			t.Errorf("%s is under %s; the passage on the LGPL speaks of %s alone", p.Name, p.Licence,
				licences.LGPLModule)
		}
		if strings.HasPrefix(p.Licence, "GPL") || strings.HasPrefix(p.Licence, "AGPL") {
			t.Errorf("%s is under %s, which would bind the whole program", p.Name, p.Licence)
		}
	}
	web, err := browserPackages(root, false)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(web, func(p licences.Part) bool { return p.Licence == "OFL-1.1" }) {
		t.Error("the fonts of the pages are not on the list")
	}
	got, err := os.ReadFile(filepath.Join(root, "NOTICE"))
	if err != nil {
		t.Fatal(err)
	}
	if want := noticeOf(append(parts, web...)); !bytes.Equal(got, want) {
		t.Error("NOTICE is out of date; run: go run ./internal/licences/gather -notice")
	}
}
