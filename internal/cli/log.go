package cli

import "fmt"

type logCmd struct {
	Verify logVerifyCmd `cmd:"" help:"Prove that no item of evidence was changed or lost."`
	Head   logHeadCmd   `cmd:"" help:"Print size and root of the log, for keeping elsewhere."`
}

type logVerifyCmd struct{}

// Run verifies the log.
func (logVerifyCmd) Run(a *app) error {
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
	_, err = fmt.Fprintf(a.out, "the log is whole: %d items, root %s\n", size, root)
	return err
}

type logHeadCmd struct{}

// Run prints the head.
func (logHeadCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	size, root, err := s.store.Head(a.ctx)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%d %s\n", size, root)
	return err
}
