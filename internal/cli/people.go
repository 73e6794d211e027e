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

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
)

// peopleCmd says who may sign in to the pages of the shop.
type peopleCmd struct {
	List    peopleListCmd    `cmd:"" help:"List who may sign in, with their roles."`
	Add     peopleAddCmd     `cmd:"" help:"Let a person sign in, or change their password. The password is asked for, or read from standard input."`
	Role    peopleRoleCmd    `cmd:"" help:"Give a person another role."`
	SignOut peopleSignOutCmd `cmd:"" name:"sign-out" help:"End all sessions of a person."`
	DropApp peopleDropAppCmd `cmd:"" name:"drop-app" help:"Ask a person for no code any more, such as one whose phone is lost."`
	Remove  peopleRemoveCmd  `cmd:"" help:"End a person's right to sign in. What they recorded stays. The last person is not removed while the shop is served."`
	Log     peopleLogCmd     `cmd:"" help:"List who signed in, who was refused, and what was changed about people."`
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
	people, err := s.Staff.People(a.ctx)
	if err != nil {
		return err
	}
	type listed struct {
		Name  string      `json:"name"`
		Role  rights.Role `json:"role"`
		Since time.Time   `json:"since"`
	}
	out := []listed{}
	for _, p := range people {
		out = append(out, listed{p.Name, p.Role, p.Since})
	}
	if c.JSON {
		return a.printJSON(out)
	}
	if len(out) == 0 {
		fmt.Fprintln(a.out, "nobody has to sign in; the shop is served to this machine only")
	}
	for _, p := range out {
		fmt.Fprintf(a.out, "%s, %s, since %s\n", p.Name, p.Role, p.Since.Format(time.DateOnly))
	}
	return nil
}

type peopleAddCmd struct {
	Name string      `arg:"" help:"Name under which they sign in and record."`
	Role rights.Role `help:"owner, specialist, sales, bookkeeper or viewer. The first person is an owner; others are viewers unless you say otherwise." placeholder:"ROLE"`
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
	if err := s.Staff.Add(a.ctx, c.Name, password, c.Role); err != nil {
		return refused(err)
	}
	people, err := s.Staff.People(a.ctx)
	if err != nil {
		return err
	}
	p, _ := staff.Known(people, c.Name)
	_, err = fmt.Fprintf(a.out, "%s may sign in as %s\n", p.Name, p.Role)
	return err
}

type peopleRoleCmd struct {
	Name string      `arg:"" help:"Name under which they sign in."`
	Role rights.Role `arg:"" help:"owner, specialist, sales, bookkeeper or viewer."`
}

// Run gives a role; it counts from the next page on.
func (c peopleRoleCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.Staff.SetRole(a.ctx, c.Name, c.Role); err != nil {
		return refused(err)
	}
	_, err = fmt.Fprintf(a.out, "%s is now %s\n", c.Name, c.Role)
	return err
}

type peopleSignOutCmd struct {
	Name string `arg:"" help:"Name under which they sign in."`
}

// Run ends the sessions of a person.
func (c peopleSignOutCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.Staff.SignOutEverywhere(a.ctx, c.Name); err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%s is signed out everywhere\n", c.Name)
	return err
}

type peopleDropAppCmd struct {
	Name string `arg:"" help:"Name under which they sign in."`
}

// Run lets a person in without the app that shows codes.
func (c peopleDropAppCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.Staff.DropCodes(a.ctx, c.Name); err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%s signs in with the password alone\n", c.Name)
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
	if err := s.Staff.Remove(a.ctx, c.Name); err != nil {
		return refused(err)
	}
	_, err = fmt.Fprintf(a.out, "%s may no longer sign in\n", c.Name)
	return err
}

type peopleLogCmd struct {
	Last int  `help:"Only so many, the latest; 0 for all." default:"100"`
	JSON bool `name:"json" help:"Print JSON."`
}

// Run lists what happened at the door, the latest first.
func (c peopleLogCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.Staff.SignIns(a.ctx, c.Last)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(append([]shop.SignIn{}, all...))
	}
	for _, in := range all {
		who := in.Name
		if who == "" {
			who = "an unknown name"
		}
		fmt.Fprintf(a.out, "%s  %s: %s", in.At.Local().Format(time.DateTime), who, in.What)
		if in.Address != "" {
			fmt.Fprintf(a.out, ", from %s", in.Address)
		}
		if in.By != "" && in.By != in.Name {
			fmt.Fprintf(a.out, ", by %s", in.By)
		}
		fmt.Fprintln(a.out)
	}
	return nil
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
