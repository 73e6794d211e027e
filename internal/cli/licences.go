package cli

import (
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"midcase/internal/licences"
)

type licencesCmd struct {
	Name  string `arg:"" optional:"" help:"Print the licence texts of the modules and packages whose name contains this."`
	Texts bool   `help:"Print the licence texts of all."`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run lists what others wrote and the program contains, with its licences.
func (c licencesCmd) Run(a *app) error {
	parts, err := licences.Gathered()
	if errors.Is(err, licences.ErrNotGathered) && c.Name == "" && !c.Texts {
		parts = builtFrom()
		fmt.Fprintln(a.err, "midcase:", err)
	} else if err != nil {
		return err
	}
	if c.Name != "" {
		if parts = licences.Find(parts, c.Name); len(parts) == 0 {
			return wrong("nothing in the program is called %q; midcase licences lists what there is", c.Name)
		}
	}
	switch {
	case c.JSON:
		return a.printJSON(parts)
	case c.Name != "" || c.Texts:
		return printTexts(a.out, parts)
	}
	return printLicences(a.out, parts)
}

// builtFrom lists the modules by what the Go toolchain wrote into the program.
func builtFrom() []licences.Part {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return nil
	}
	var parts []licences.Part
	for _, m := range info.Deps {
		parts = append(parts, licences.Part{Name: m.Path, Version: m.Version})
	}
	return parts
}

func printLicences(w io.Writer, parts []licences.Part) error {
	var b strings.Builder
	for _, p := range parts {
		name := strings.TrimSpace(p.Name + " " + p.Version)
		if p.Licence == "" {
			fmt.Fprintln(&b, name)
			continue
		}
		fmt.Fprintf(&b, "%s: %s\n", name, p.Licence)
	}
	fmt.Fprintf(&b, "\nLibraries under the LGPL\n\n%s", licences.LGPL)
	_, err := io.WriteString(w, b.String())
	return err
}

func printTexts(w io.Writer, parts []licences.Part) error {
	var b strings.Builder
	for _, p := range parts {
		fmt.Fprintf(&b, "%s\n%s\n%s\n\n", strings.Repeat("=", 78),
			strings.TrimSpace(p.Name+" "+p.Version+": "+p.Licence), p.Source)
		for _, t := range p.Texts {
			fmt.Fprintf(&b, "--- %s\n\n%s\n\n", t.File, strings.TrimSpace(t.Text))
		}
	}
	fmt.Fprintf(&b, "%s\nLibraries under the LGPL\n\n%s", strings.Repeat("=", 78), licences.LGPL)
	_, err := io.WriteString(w, b.String())
	return err
}
