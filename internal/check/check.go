package check

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/store"
	"midcase/refbook"
)

// Parts are what a shop keeps. The store needs the key of the client data to open papers that name clients.
type Parts struct {
	Store *store.Store
	Blobs *blobs.Folder // nil where there is no folder
	Book  string        // the book's folder, which need not be there
	// Sealed leaves out what cannot be read without the key of the client data, which is kept elsewhere.
	Sealed bool
}

// All checks everything. An error means that the check itself was stopped.
func All(ctx context.Context, p Parts) ([]store.Finding, error) {
	out, err := p.Store.Check(ctx)
	if err != nil {
		return out, err
	}
	wanted := map[string][]use{}
	for _, part := range []func() ([]store.Finding, error){
		func() ([]store.Finding, error) { return p.usesInLog(ctx, wanted) },
		func() ([]store.Finding, error) { return p.usesInPapers(ctx, wanted) },
		func() ([]store.Finding, error) { return p.usesInExamples(ctx, wanted) },
		func() ([]store.Finding, error) { return p.blobs(ctx, wanted) },
		func() ([]store.Finding, error) { return p.clients(ctx) },
		func() ([]store.Finding, error) { return p.book(ctx) },
	} {
		found, err := part()
		if out = append(out, found...); err != nil {
			return out, err
		}
	}
	return out, nil
}

// use is where a blob is needed.
type use struct{ what, id, says string }

// usesInLog gathers the pictures and sounds that evidence names.
func (p Parts) usesInLog(ctx context.Context, wanted map[string][]use) ([]store.Finding, error) {
	watches, err := p.Store.Watches(ctx, shop.Filter{})
	if err != nil {
		return unreadable(ctx, store.InWatch, "", err)
	}
	var out []store.Finding
	for _, w := range watches {
		items, err := p.Store.Evidence(ctx, w.ID)
		if err != nil {
			found, stop := unreadable(ctx, store.InLog, string(w.ID), err)
			if out = append(out, found...); stop != nil {
				return out, stop
			}
			continue
		}
		for _, item := range items {
			if sha := blobOf(item.Data); isSHA(sha) {
				wanted[sha] = append(wanted[sha], use{store.InBlob, sha,
					fmt.Sprintf("%s %s of watch no. %d", item.Data.Kind(), item.ID, w.Number)})
			}
		}
	}
	return out, nil
}

func blobOf(d evidence.Data) string {
	switch d := d.(type) {
	case *evidence.Photo:
		return d.Blob
	case *evidence.Recording:
		return d.Blob
	case *evidence.Document:
		return d.Blob
	}
	return ""
}

func isSHA(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == sha256.Size
}

// usesInPapers gathers the files of issued papers, and holds what a paper about a client says against the
// sum that was noted when it was issued.
func (p Parts) usesInPapers(ctx context.Context, wanted map[string][]use) ([]store.Finding, error) {
	papers, err := p.Store.Papers(ctx, shop.PaperFilter{})
	if err != nil {
		return unreadable(ctx, store.InPaper, "", err)
	}
	var out []store.Finding
	for _, paper := range papers {
		for _, f := range paper.Files {
			if f.Kept {
				wanted[f.SHA256] = append(wanted[f.SHA256], use{store.InPaper, paper.Number,
					fmt.Sprintf("the %s of %s %s", f.Ending, paper.Kind, paper.Number)})
			}
		}
		if paper.Client == "" || p.Sealed {
			continue
		}
		if says := p.content(ctx, paper); says != "" {
			out = append(out, store.Finding{What: store.InPaper, ID: paper.Number, Says: says})
		}
	}
	return out, ctx.Err()
}

// usesInExamples gathers the pictures of examples seen elsewhere.
func (p Parts) usesInExamples(ctx context.Context, wanted map[string][]use) ([]store.Finding, error) {
	all, err := p.Store.Examples(ctx)
	if err != nil {
		return unreadable(ctx, store.InDatabase, "examples", err)
	}
	for _, e := range all {
		if isSHA(e.Picture) {
			wanted[e.Picture] = append(wanted[e.Picture],
				use{store.InBlob, e.Picture, "the picture of example " + e.ID})
		}
	}
	return nil, ctx.Err()
}

// content is what is wrong with the words of a paper about a client; of an erased one they are gone.
func (p Parts) content(ctx context.Context, paper shop.Paper) string {
	_, text, err := p.Store.Paper(ctx, paper.ID)
	switch {
	case err != nil:
		return err.Error()
	case text == "":
		return ""
	}
	sum := sha256.Sum256([]byte(text))
	for _, f := range paper.Files {
		if f.Ending == "json" && f.SHA256 != hex.EncodeToString(sum[:]) {
			return fmt.Sprintf("%s %s no longer says what it said when it was issued", paper.Kind, paper.Number)
		}
	}
	return ""
}

// blobs compares every file with its name, and says which are missing.
func (p Parts) blobs(ctx context.Context, wanted map[string][]use) ([]store.Finding, error) {
	var out []store.Finding
	bad := func(sha, says string) {
		uses := wanted[sha]
		if len(uses) == 0 {
			uses = []use{{store.InBlob, sha, "it"}}
		}
		for _, u := range uses {
			out = append(out, store.Finding{What: u.what, ID: u.id,
				Says: fmt.Sprintf("blob %s: %s %s", sha, u.says, says)})
		}
	}
	there := map[string]bool{}
	if p.Blobs != nil {
		for e, err := range p.Blobs.List(ctx) {
			if err != nil {
				return append(out, store.Finding{What: store.InBlob, Says: err.Error()}), ctx.Err()
			}
			there[e.SHA] = true
			switch err := p.Blobs.Verify(ctx, e.SHA); {
			case errors.Is(err, blobs.ErrDamaged):
				bad(e.SHA, "is damaged")
			case err != nil:
				bad(e.SHA, "cannot be read: "+err.Error())
			}
		}
	}
	var missing []string
	for sha := range wanted {
		if !there[sha] {
			missing = append(missing, sha)
		}
	}
	slices.Sort(missing)
	for _, sha := range missing {
		bad(sha, "is missing")
	}
	return out, ctx.Err()
}

// clients opens every client's record.
func (p Parts) clients(ctx context.Context) ([]store.Finding, error) {
	if p.Sealed {
		return nil, nil
	}
	if _, err := p.Store.Clients(ctx); err != nil {
		return unreadable(ctx, store.InDatabase, "clients", err)
	}
	return nil, nil
}

// book checks the kept versions of the book's files, and that the book can be read.
func (p Parts) book(ctx context.Context) ([]store.Finding, error) {
	faults, err := bookdir.Open(p.Book).Check(ctx)
	if err != nil {
		return unreadable(ctx, store.InBook, "", err)
	}
	var out []store.Finding
	for _, f := range faults {
		out = append(out, store.Finding{What: store.InBook, ID: f.File, Says: f.Says})
	}
	files, err := bookdir.Open(p.Book).Files(ctx)
	if err != nil {
		return unreadable(ctx, store.InBook, "", err)
	}
	if len(files) == 0 {
		return out, nil
	}
	if _, err := refbook.LoadDir(p.Book); err != nil {
		out = append(out, store.Finding{What: store.InBook, Says: err.Error()})
	}
	return out, nil
}

// unreadable is a finding for what cannot be read, unless the check was stopped.
func unreadable(ctx context.Context, what, id string, err error) ([]store.Finding, error) {
	if ctx.Err() != nil {
		return nil, fmt.Errorf("check: %w", ctx.Err())
	}
	return []store.Finding{{What: what, ID: id, Says: "it cannot be read: " + err.Error()}}, nil
}
