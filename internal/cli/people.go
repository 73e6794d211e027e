package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"
)

// peopleCmd says who may sign in to the pages of the shop.
type peopleCmd struct {
	List   peopleListCmd   `cmd:"" help:"List who may sign in."`
	Add    peopleAddCmd    `cmd:"" help:"Let a person sign in, or change their password. The password is asked for, or read from standard input."`
	Remove peopleRemoveCmd `cmd:"" help:"End a person's right to sign in. What they recorded stays."`
}

type peopleListCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Run lists names; hashes are never shown.
func (c peopleListCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	people, err := s.People.Staff(a.ctx)
	if err != nil {
		return err
	}
	type listed struct {
		Name  string    `json:"name"`
		Since time.Time `json:"since"`
	}
	out := []listed{}
	for _, p := range people {
		out = append(out, listed{p.Name, p.Since})
	}
	if c.JSON {
		return a.printJSON(out)
	}
	if len(out) == 0 {
		fmt.Fprintln(a.out, "nobody has to sign in; the shop is served to this machine only")
	}
	for _, p := range out {
		fmt.Fprintf(a.out, "%s, since %s\n", p.Name, p.Since.Format(time.DateOnly))
	}
	return nil
}

type peopleAddCmd struct {
	Name string `arg:"" help:"Name under which they sign in and record."`
}

// Run keeps the hash of a password.
func (c peopleAddCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	password, err := a.password("password for " + c.Name)
	if err != nil {
		return err
	}
	if err := s.People.SetPassword(a.ctx, c.Name, password); err != nil {
		return refused(err)
	}
	_, err = fmt.Fprintf(a.out, "%s may sign in\n", strings.TrimSpace(c.Name))
	return err
}

type peopleRemoveCmd struct {
	Name string `arg:"" help:"Name under which they signed in."`
}

// Run removes a person; sessions of theirs end with the next page they ask for.
func (c peopleRemoveCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.People.RemovePerson(a.ctx, c.Name); err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%s may no longer sign in\n", c.Name)
	return err
}

// password asks twice on a terminal without showing what is typed; elsewhere it reads
// one line.
func (a *app) password(of string) (string, error) {
	if f, ok := a.in.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		var typed [2]string
		for k, prompt := range []string{of, "once more"} {
			fmt.Fprintf(a.err, "%s: ", prompt)
			b, err := term.ReadPassword(int(f.Fd()))
			fmt.Fprintln(a.err)
			if err != nil {
				return "", fmt.Errorf("read the password: %w", err)
			}
			typed[k] = string(b)
		}
		if typed[0] != typed[1] {
			return "", wrong("the two passwords differ; nothing was changed")
		}
		return typed[0], nil
	}
	line, err := bufio.NewReader(io.LimitReader(a.in, 4096)).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return "", fmt.Errorf("read the password: %w", err)
	}
	return strings.TrimRight(line, "\r\n"), nil
}
