package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"midcase/internal/licences"
)

// kinds tell a licence by words that stand in every copy of its text. The first that
// matches counts, so the narrower stand first.
var kinds = []struct {
	name  string
	words []string
}{
	{"LGPL-3.0", []string{"gnu lesser general public license version 3, 29 june 2007"}},
	{"public domain", []string{"sqlite is public domain"}},
	{"MPL-2.0", []string{"mozilla public license version 2.0"}},
	{"Apache-2.0", []string{"apache license", "version 2.0"}},
	{"OFL-1.1", []string{"sil open font license version 1.1"}},
	{"OFL-1.1", []string{"sil open font license, version 1.1"}},
	{"Bitstream-Vera", []string{"bitstream vera fonts copyright"}},
	{"BSL-1.0", []string{"boost software license"}},
	{"ISC", []string{"permission to use, copy, modify, and distribute this software for any purpose with or without fee"}},
	{"ISC", []string{"permission to use, copy, modify, and/or distribute this software for any purpose with or without fee"}},
	{"Unlicense", []string{"this is free and unencumbered software released into the public domain"}},
	{"BSD-3-Clause", []string{"redistribution and use in source and binary forms", "neither the name"}},
	{"BSD-3-Clause", []string{"redistribution and use in source and binary forms", "may not be used to endorse"}},
	{"BSD-2-Clause", []string{"redistribution and use in source and binary forms"}},
	{"MIT", []string{"permission is hereby granted, free of charge"}},
}

// kindOf names the licence of a text; "" where it is none that is known.
func kindOf(text string) string {
	plain := strings.ToLower(strings.Join(strings.Fields(text), " "))
	for _, k := range kinds {
		if !slices.ContainsFunc(k.words, func(w string) bool { return !strings.Contains(plain, w) }) {
			return k.name
		}
	}
	return ""
}

// collection matches files in which a module lists the licences of others, most of
// which are on the list as modules themselves; they are passed on, not classified.
var collection = regexp.MustCompile(`(?i)3rd-party`)

// licenceOf names the licences of a part. One without a known licence is an error:
// somebody has to read it before the program is passed on.
func licenceOf(p licences.Part) (string, error) {
	var names []string
	for _, t := range p.Texts {
		if collection.MatchString(t.File) {
			continue
		}
		if k := kindOf(t.Text); k != "" && !slices.Contains(names, k) {
			names = append(names, k)
		}
	}
	if len(names) == 0 {
		return "", fmt.Errorf("%s %s: no licence file that is known; read its licence and add its words to classify.go",
			p.Name, p.Version)
	}
	return strings.Join(names, " and "), nil
}
