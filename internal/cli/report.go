package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
)

type reportCmd struct {
	subjectFlags
	Output  string `short:"o" required:"" help:"File to write: .pdf or .md." placeholder:"FILE.pdf"`
	Purpose string `help:"For what use the report is made." default:"information of the owner and of a prospective buyer"`
	For     string `help:"For whom it is made."`
	ForShop bool   `help:"The shop's own copy: with prices asked, costs and what to pay."`
}

// Run writes the report beside its final name first, so that a failure leaves no
// half a report behind.
func (c reportCmd) Run(a *app) error {
	var write func(*bytes.Buffer, document.Report) error
	switch ext := strings.ToLower(filepath.Ext(c.Output)); ext {
	case ".pdf":
		write = func(b *bytes.Buffer, r document.Report) error { return document.WritePDF(b, r) }
	case ".md", ".markdown":
		write = func(b *bytes.Buffer, r document.Report) error { return document.WriteMarkdown(b, r) }
	default:
		return wrong("output %q: want a name that ends in .pdf or .md", c.Output)
	}
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err) // before the work, not after it
	}
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	defer s.close()
	r := document.Report{Opinion: s.opinion, Items: s.file.Items, Number: s.number, Issued: a.now(), Purpose: c.Purpose, IntendedUser: c.For, ForShop: c.ForShop}
	r.Photos, err = s.photos(a)
	if err != nil {
		return err
	}
	r.Traces = s.traces(a)
	if s.shop != nil {
		r.Shop.Name = s.shop.Name()
		if size, root, err := s.shop.store.Head(a.ctx); err == nil {
			r.LogHead = fmt.Sprintf("%d %s", size, root)
		}
	}
	var b bytes.Buffer
	if err := write(&b, r); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	if err := writeWhole(c.Output, b.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(a.err, "wrote %s\n", c.Output)
	return nil
}

// writeWhole writes a file under another name and renames it, so that the name never
// shows half a file.
func writeWhole(path string, b []byte) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".midcase-*")
	if err != nil {
		return unwritable(path, err)
	}
	_, err = tmp.Write(b)
	if cerr := tmp.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Chmod(tmp.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		os.Remove(tmp.Name())
		return unwritable(path, err)
	}
	return nil
}

// photos are the pictures of the evidence in force. A picture that is missing is
// named on standard error and left out.
func (s *subject) photos(a *app) ([]document.Photo, error) {
	var out []document.Photo
	for _, p := range evidence.All[*evidence.Photo](s.file) {
		var b []byte
		var err error
		if s.shop != nil {
			b, err = s.shop.Picture(a.ctx, p.Data.Blob)
		} else {
			b, err = os.ReadFile(s.beside(p.Data.Blob))
		}
		if err != nil {
			fmt.Fprintf(a.err, "picture left out: %v\n", err)
			continue
		}
		out = append(out, document.Photo{Evidence: p.Item.ID, View: p.Data.View, Caption: p.Data.Caption, Data: b})
	}
	return out, nil
}

// beside is where a picture named in a watch file lies: in the file's folder or in a
// folder pictures next to it. A name that leads elsewhere is not followed.
func (s *subject) beside(name string) string {
	name = filepath.Base(name)
	for _, dir := range []string{s.folder, filepath.Join(s.folder, "pictures"), filepath.Join(s.folder, "..", "pictures")} {
		if p := filepath.Join(dir, name); isFile(p) {
			return p
		}
	}
	return filepath.Join(s.folder, name)
}
