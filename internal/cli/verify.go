package cli

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"midcase/internal/papers"
	"midcase/internal/proof"
	"midcase/internal/shop"
	"midcase/internal/store"
)

type verifyCmd struct {
	File string `arg:"" help:"The paper, a PDF." type:"existingfile"`
	Head string `help:"Head of the log, kept elsewhere, that the paper's must agree with." placeholder:"SIZE:ROOT"`
	Key  string `help:"The shop's public key, or a file with it; 'midcase log key' prints it. Without it the key in the paper is used, which proves only that the paper is as its signer issued it." placeholder:"KEY"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// verified is what verify prints as JSON.
type verified struct {
	Unaltered bool   `json:"unaltered"`
	Paper     string `json:"paper,omitempty"`
	Head      string `json:"head,omitempty"` // SIZE:ROOT
	Signed    bool   `json:"signed"`
	Key       string `json:"key,omitempty"`            // the public key that signed
	Items     int    `json:"items,omitempty"`          // of evidence, proved to be under the head
	Newer     *int   `json:"newer_evidence,omitempty"` // recorded since; only where the shop is at hand
	Says      string `json:"says,omitempty"`           // what is wrong
}

// Run verifies a paper by the proof that it carries and, where the shop is at hand, by the shop's records.
func (c verifyCmd) Run(a *app) error {
	head, err := readHead(c.Head)
	if err != nil {
		return err
	}
	key, err := publicKey(c.Key)
	if err != nil {
		return err
	}
	file, err := os.ReadFile(c.File)
	if err != nil {
		return err
	}
	out, failed := c.proved(file, key, head)
	if err := a.besideShop(&out, file, head, &failed); err != nil {
		return err
	}
	if failed != nil {
		out.Unaltered, out.Says = false, failed.Error()
	}
	if c.JSON {
		err = a.printJSON(out)
	} else if failed == nil {
		err = a.printVerified(out, c.Key != "")
	}
	return errors.Join(err, failed)
}

// proved is what the paper says by itself.
func (c verifyCmd) proved(file []byte, key string, head logHead) (out verified, failed error) {
	p, err := proof.Verify(file, key)
	if err != nil {
		return out, err
	}
	out = verified{Unaltered: true, Paper: p.Number, Head: p.Head.String(), Signed: true, Key: p.Key, Items: p.Items}
	if c.Head != "" && head.size == p.Head.Size && head.root != p.Head.Root {
		return out, fmt.Errorf("%w: its head of the log is %s, the one given is %s", proof.ErrAltered, p.Head,
			proof.Head{Size: head.size, Root: head.root})
	}
	return out, nil
}

// besideShop adds what the shop knows of the paper, where there is a shop. A paper without a proof is known by the
// sum of its bytes.
func (a *app) besideShop(out *verified, file []byte, head logHead, failed *error) error {
	dir, err := a.shopFolder()
	if err != nil || !exists(filepath.Join(dir, storeFile)) && os.Getenv(storeURLVariable) == "" {
		return nil // the paper speaks for itself
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	p, err := papers.IssuedAs(a.ctx, s.Shop, fmt.Sprintf("%x", sha256.Sum256(file)))
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	} else if err != nil {
		return err
	}
	return a.knownPaper(s, p, out, head, failed)
}

func (a *app) knownPaper(s *opened, p shop.Paper, out *verified, head logHead, failed *error) error {
	if errors.Is(*failed, proof.ErrNoProof) {
		*failed = nil
	}
	out.Unaltered, out.Paper = *failed == nil, p.Number
	out.Head = papers.HeadOf(p).String()
	heads := []logHead{{p.LogSize, p.LogRoot}}
	if head.root != "" {
		heads = append(heads, head)
	}
	for _, h := range heads {
		if err := s.store.CheckHead(a.ctx, h.size, h.root); errors.Is(err, store.ErrLogDamaged) {
			*failed = err
		} else if err != nil {
			return err
		}
	}
	newer, err := papers.NewerSince(a.ctx, s.Shop, p)
	if err != nil {
		return err
	}
	out.Newer = &newer
	return nil
}

func (a *app) printVerified(out verified, ownKey bool) error {
	fmt.Fprintf(a.out, "%s is as it was issued; head of the log %s\n", out.Paper, out.Head)
	switch {
	case out.Signed && ownKey:
		fmt.Fprintf(a.out, "signed by the key given; %s of evidence under the head\n", count(out.Items, "item"))
	case out.Signed:
		fmt.Fprintf(a.out, "signed by %s: compare it with the key that the shop makes known\n", out.Key)
	default:
		fmt.Fprintln(a.out, "not signed; the shop's own records say so")
	}
	if out.Newer != nil && *out.Newer > 0 {
		fmt.Fprintf(a.out, "recorded on this watch since: %s of evidence\n", count(*out.Newer, "item"))
	}
	return nil
}
