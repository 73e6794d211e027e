package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
)

type evidenceCmd struct {
	Add   evidenceAddCmd   `cmd:"" help:"Add an item of evidence."`
	Photo evidencePhotoCmd `cmd:"" help:"Add a picture."`

	Recording evidenceRecordingCmd `cmd:"" help:"Add a recording of the tick, with the rate read from it."`
	Withdraw  evidenceWithdrawCmd  `cmd:"" help:"Withdraw an item. It stays on the record."`
	Redact    evidenceRedactCmd    `cmd:"" help:"Take the words of an item away for good and withdraw it. The log keeps their hash."`
}

// recorded is what is said of an item when it is recorded.
type recorded struct {
	onWatch
	doer
}

// said prints the id of an item.
func (recorded) said(a *app, it evidence.Item, err error) error {
	return output{}.line(a, nil, err, "%s", it.ID)
}

type evidenceAddCmd struct {
	recorded
	keepOdd

	Kind   string   `arg:"" help:"Kind of evidence: mark, fitted, finding, dimension, weighing, rate, document, claim, work, check …"`
	Fields []string `arg:"" optional:"" help:"Fields of the kind, such as slot=dial term=spotting severity=2; or one JSON object; or - for JSON on standard input." sep:"none"`
}

// Run adds one item.
func (c evidenceAddCmd) Run(a *app, s *opened, w shop.Watch) error {
	data, err := c.data(a)
	if err != nil {
		return misuse{err}
	}
	if f, ok := data.(*evidence.Finding); ok && c.AllTheSame == "" && !c.saysSeverity() {
		if doubt, unjudged := gate.Unjudged(f); unjudged {
			return wrong("%s", doubt.Says)
		}
	}
	items, err := s.Intake.RecordHeld(a.ctx, w.ID, c.who(), c.AllTheSame, data)
	if err != nil {
		return refused(toKeep(err))
	}
	return c.said(a, items[0], nil)
}

// keepOdd keeps what the book or another file makes look wrong.
type keepOdd struct {
	AllTheSame string `help:"Record it although something about it is odd, and why, such as “read twice”." placeholder:"REASON"`
}

// toKeep adds to what is odd how to record it all the same.
func toKeep(err error) error {
	var odd *intake.Doubtful
	if errors.As(err, &odd) {
		return wrong("%w Correct it, or add --all-the-same with the reason", err)
	}
	return err
}

// saysSeverity reports whether a severity was given; standard input is not read twice, and
// what comes from a program there says it or not on its own account.
func (c evidenceAddCmd) saysSeverity() bool {
	return slices.ContainsFunc(c.Fields, func(f string) bool {
		return f == "-" || strings.HasPrefix(f, "severity=") || strings.HasPrefix(strings.TrimSpace(f), "{") &&
			strings.Contains(f, `"severity"`)
	})
}

// data reads the item from name=value fields or from JSON.
func (c evidenceAddCmd) data(a *app) (evidence.Data, error) {
	kind := evidence.Kind(c.Kind)
	if len(c.Fields) == 1 && (c.Fields[0] == "-" || strings.HasPrefix(strings.TrimSpace(c.Fields[0]), "{")) {
		return c.fromJSON(a, kind)
	}
	fields := map[string]string{}
	for _, f := range c.Fields {
		name, value, ok := strings.Cut(f, "=")
		if !ok {
			return nil, fmt.Errorf("“%s” is not a field. Write name=value, such as slot=dial", f)
		}
		fields[name] = value
	}
	data, problems := evidence.FromFields(kind, fields)
	return data, problems.Err()
}

func (c evidenceAddCmd) fromJSON(a *app, kind evidence.Kind) (evidence.Data, error) {
	text := []byte(c.Fields[0])
	if c.Fields[0] == "-" {
		const largest = 1 << 20
		var err error
		if text, err = io.ReadAll(io.LimitReader(a.in, largest+1)); err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		if len(text) > largest {
			return nil, fmt.Errorf("standard input is larger than 1 MiB. Give one item of evidence")
		}
	}
	return evidence.DecodeData(kind, text)
}

type evidencePhotoCmd struct {
	recorded
	File    string `arg:"" help:"The picture: JPEG, PNG, WebP, AVIF, HEIC or TIFF." type:"existingfile"`
	View    string `required:"" help:"What it shows: dial, front, back, movement, bracelet …"`
	Caption string `help:"A caption."`
}

// Run adds a picture.
func (c evidencePhotoCmd) Run(a *app, s *opened, w shop.Watch) error {
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	it, err := s.Intake.AddPhoto(a.ctx, w.ID, c.View, c.Caption, f, c.who())
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	return c.said(a, it, nil)
}

type evidenceWithdrawCmd struct {
	recorded
	Item   string `arg:"" help:"Id of the item."`
	Reason string `required:"" help:"Why it is withdrawn."`
}

// Run withdraws an item.
func (c evidenceWithdrawCmd) Run(a *app, s *opened, w shop.Watch) error {
	it, err := s.Intake.Withdraw(a.ctx, w.ID, evidence.ID(c.Item), c.Reason, c.who())
	if err != nil {
		return err
	}
	return c.said(a, it, nil)
}

type evidenceRedactCmd struct {
	recorded
	Item   string `arg:"" help:"Id of the item."`
	Reason string `required:"" help:"Why its words go, without the words themselves. It stays in the log."`
	Yes    bool   `help:"Take them away. This cannot be undone."`
}

// Run takes the words of an item away.
func (c evidenceRedactCmd) Run(a *app, s *opened, w shop.Watch) error {
	if !c.Yes {
		return wrong("what is taken away cannot be brought back. To take the words of %s away, add --yes", c.Item)
	}
	if err := s.People.RedactItem(a.ctx, w.ID, evidence.ID(c.Item), c.Reason, c.who()); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "%s: its words are gone; the log keeps their hash\n", c.Item)
	fmt.Fprintln(a.err, "Backups made earlier still hold the words, and issued papers stay as they were handed out.")
	return nil
}
