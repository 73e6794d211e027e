package cli

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/publish"
	"midcase/say"
)

type publishCmd struct {
	Dir       string   `arg:"" help:"Folder of the site: empty, new, or one published before."`
	Languages []string `name:"language" help:"Languages of the pages, the first at the top: en, de, fr, it." default:"en,de,fr,it"`
	Address   string   `help:"Where the site will be found, such as https://shop.example; needed for the sitemap and for whole addresses in the feeds." placeholder:"URL"`
	JSON      bool     `name:"json" help:"Print JSON."`
}

// once are the languages without repeats, in their order.
func once(all []string) []string {
	var out []string
	for _, l := range all {
		if !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	return out
}

// Run brings the folder up to what is for sale.
func (c publishCmd) Run(a *app) error {
	for _, l := range c.Languages {
		if !slices.Contains(say.Languages(), l) {
			return wrong("--language: there is no “%s”. Use %s", l, strings.Join(say.Languages(), ", "))
		}
	}
	if c.Address != "" {
		u, err := url.Parse(c.Address)
		if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
			return wrong("--address: “%s” is no address of a site. Give one such as https://shop.example", c.Address)
		}
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	langs := once(c.Languages)
	site, left, err := papers.SiteOf(a.ctx, s.Shop, langs, c.Address, a.progress("telling watches"))
	if err != nil {
		return err
	}
	for _, l := range left {
		fmt.Fprintf(a.err, "no. %d %s is not published: %v\n", l.Watch.Number, l.Watch.Title, l.Why)
	}
	files, err := site.Files()
	if err != nil {
		return err
	}
	done, err := publish.Write(c.Dir, files, a.progress("writing pages"))
	if err != nil {
		return fmt.Errorf("publish: %w", err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"watches": len(site.Watches), "left_out": len(left), "written": done.Written,
			"same": done.Same, "removed": done.Removed})
	}
	_, err = fmt.Fprintf(a.out, "%s published: %d files written, %d as they were, %d removed\n",
		count(len(site.Watches), "watch"), done.Written, done.Same, done.Removed)
	return err
}
