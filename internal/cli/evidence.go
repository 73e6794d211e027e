package cli

import (
	"fmt"
	"io"
	"os"
	"strings"

	"midcase/evidence"
)

type evidenceCmd struct {
	Add   evidenceAddCmd   `cmd:"" help:"Add an item of evidence."`
	Photo evidencePhotoCmd `cmd:"" help:"Add a picture."`

	Recording evidenceRecordingCmd `cmd:"" help:"Add a recording of the tick, with the rate read from it."`
	Withdraw  evidenceWithdrawCmd  `cmd:"" help:"Withdraw an item. It stays on the record."`
}

type evidenceAddCmd struct {
	Watch  string   `arg:"" help:"Id, file number or serial number."`
	Kind   string   `arg:"" help:"Kind of evidence, such as mark, fitted, finding, dimension, weighing, rate, document, claim, work, check."`
	Fields []string `arg:"" optional:"" help:"Fields of the kind, such as slot=dial term=spotting severity=2; or one JSON object; or - for JSON on standard input." sep:"none"`
	By     string   `help:"Who records it; default the user." env:"MIDCASE_USER"`
}

// Run adds one item.
func (c evidenceAddCmd) Run(a *app) error {
	data, err := c.data(a)
	if err != nil {
		return misuse{err}
	}
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	items, err := s.Intake.Record(a.ctx, w.ID, user(c.By), data)
	if err != nil {
		return refused(err)
	}
	_, err = fmt.Fprintf(a.out, "%s\n", items[0].ID)
	return err
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
			return nil, fmt.Errorf("field %q: want a form such as slot=dial", f)
		}
		fields[name] = value
	}
	data, problems := evidence.FromFields(kind, fields)
	return data, problems.Err()
}

func (c evidenceAddCmd) fromJSON(a *app, kind evidence.Kind) (evidence.Data, error) {
	text := []byte(c.Fields[0])
	if c.Fields[0] == "-" {
		const most = 1 << 20
		var err error
		if text, err = io.ReadAll(io.LimitReader(a.in, most+1)); err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		if len(text) > most {
			return nil, fmt.Errorf("standard input: more than 1 MiB; want one item of evidence")
		}
	}
	return evidence.DecodeData(kind, text)
}

type evidencePhotoCmd struct {
	Watch   string `arg:"" help:"Id, file number or serial number."`
	File    string `arg:"" help:"The picture: JPEG, PNG, WebP, AVIF or HEIC." type:"existingfile"`
	View    string `required:"" help:"What it shows: dial, front, back, movement, bracelet, …"`
	Caption string `help:"A caption."`
	By      string `help:"Who records it; default the user." env:"MIDCASE_USER"`
}

// Run adds a picture.
func (c evidencePhotoCmd) Run(a *app) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	it, err := s.Intake.AddPhoto(a.ctx, w.ID, c.View, c.Caption, f, user(c.By))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	_, err = fmt.Fprintf(a.out, "%s\n", it.ID)
	return err
}

type evidenceWithdrawCmd struct {
	Watch  string `arg:"" help:"Id, file number or serial number."`
	Item   string `arg:"" help:"Id of the item."`
	Reason string `required:"" help:"Why it is withdrawn."`
	By     string `help:"Who withdraws it; default the user." env:"MIDCASE_USER"`
}

// Run withdraws an item.
func (c evidenceWithdrawCmd) Run(a *app) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	it, err := s.Intake.Withdraw(a.ctx, w.ID, evidence.ID(c.Item), c.Reason, user(c.By))
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%s\n", it.ID)
	return err
}
