package cli

import (
	"fmt"
	"strconv"
	"strings"

	"midcase/internal/proof"
)

type logCmd struct {
	Verify logVerifyCmd `cmd:"" help:"Prove that no item of evidence was changed or lost."`
	Head   logHeadCmd   `cmd:"" help:"Print size and root of the log, for keeping elsewhere."`
	Key    logKeyCmd    `cmd:"" help:"Print the public key with which others verify signed heads and papers."`
}

type logVerifyCmd struct {
	Head string `help:"Also prove that the log begins with this head, kept elsewhere or printed on a paper." placeholder:"SIZE:ROOT"`
}

// Run verifies the log.
func (c logVerifyCmd) Run(a *app) error {
	kept, err := readHead(c.Head)
	if err != nil {
		return err
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.store.Verify(a.ctx); err != nil {
		return err
	}
	size, root, err := s.store.Head(a.ctx)
	if err != nil {
		return err
	}
	if c.Head != "" {
		if err := s.store.CheckHead(a.ctx, kept.size, kept.root); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintf(a.out, "the log is whole: %d items, root %s\n", size, root)
	if c.Head != "" && err == nil {
		_, err = fmt.Fprintf(a.out, "it begins with the %s of the head given\n", count(int(kept.size), "item"))
	}
	return err
}

// logHead is a head of the log as it is typed.
type logHead struct {
	size int64
	root string
}

// readHead reads SIZE:ROOT; a blank between the two, as papers print it, will do.
func readHead(text string) (logHead, error) {
	if text == "" {
		return logHead{}, nil
	}
	size, root, ok := strings.Cut(strings.Replace(strings.TrimSpace(text), " ", ":", 1), ":")
	n, err := strconv.ParseInt(size, 10, 64)
	if !ok || err != nil || n < 0 || root == "" {
		return logHead{}, wrong("%q is no head of the log: give its size and root, such as 120:q83vEiPx…=", text)
	}
	return logHead{n, strings.TrimSpace(root)}, nil
}

type logHeadCmd struct {
	Signed bool `help:"Print it as a note signed by the shop's key."`
}

// Run prints the head.
func (c logHeadCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	size, root, err := s.store.Head(a.ctx)
	if err != nil {
		return err
	}
	if c.Signed {
		signed, err := s.Signs.SignHead(proof.Head{Size: size, Root: root})
		if err != nil {
			return err
		}
		_, err = fmt.Fprint(a.out, signed)
		return err
	}
	_, err = fmt.Fprintf(a.out, "%d %s\n", size, root)
	return err
}
