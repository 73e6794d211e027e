package web

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"midcase/internal/shop/intake"
)

// sheetsSetting is the setting under which it is kept where the open contact sheets lie, so that they are there again
// after the program was stopped in the middle.
const sheetsSetting = "contact-sheets"

// keptSheet is an open contact sheet as the setting has it.
type keptSheet struct {
	Token string    `json:"token"`
	Dir   string    `json:"dir"` // on the machine that opened it
	By    string    `json:"by"`
	At    time.Time `json:"at"`
}

// sheetLine is one line of the record of a sheet: a picture that was read, one that could not be, or pictures sorted.
type sheetLine struct {
	Shot   *intake.Shot `json:"shot,omitempty"` // without its small picture, which is a file of its own
	Name   string       `json:"name,omitempty"`
	Sent   string       `json:"sent,omitempty"`
	Broken string       `json:"broken,omitempty"`
	Sorted []int        `json:"sorted,omitempty"`
}

// note adds a line to the record of a sheet, in the folder of its pictures.
func (d *pictureDrop) note(line sheetLine) error {
	text, err := json.Marshal(line)
	if err != nil {
		return fmt.Errorf("contact sheet: %w", err)
	}
	f, err := os.OpenFile(filepath.Join(d.dir, "record"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("contact sheet: %w", err)
	}
	_, err = f.Write(append(text, '\n'))
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return err
}

// noteShot records a picture that was read.
func (d *pictureDrop) noteShot(x droppedShot) error {
	if err := os.WriteFile(x.file+".small", x.Small, 0o600); err != nil {
		return fmt.Errorf("contact sheet: %w", err)
	}
	x.Shot.Small = nil
	return d.note(sheetLine{Shot: &x.Shot, Name: x.name, Sent: x.sent})
}

// again reads the record of a sheet. A line that was cut off in the middle is the last.
func (d *pictureDrop) again() error {
	text, err := os.ReadFile(filepath.Join(d.dir, "record"))
	if err != nil {
		return err
	}
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, len(text)+1)
	for lines.Scan() {
		var line sheetLine
		if json.Unmarshal(lines.Bytes(), &line) != nil {
			break
		}
		switch {
		case line.Shot != nil:
			x := droppedShot{Shot: *line.Shot, name: line.Name, sent: line.Sent,
				file: filepath.Join(d.dir, strconv.Itoa(len(d.shots)))}
			if x.Small, err = os.ReadFile(x.file + ".small"); err != nil {
				return err
			}
			d.shots = append(d.shots, x)
		case line.Broken != "":
			d.broken = append(d.broken, line.Broken)
		}
		for _, i := range line.Sorted {
			if i < len(d.shots) {
				d.shots[i].sorted = true
			}
		}
		if line.Sent != "" {
			d.files[line.Sent] = true
		}
	}
	return nil
}

// restore opens the sheets that were open when the program stopped. It is called once, with the sheets locked.
func (s *contactSheets) restore(ctx context.Context) {
	if s.restored {
		return
	}
	s.restored = true
	if s.all == nil {
		s.all = map[string]*pictureDrop{}
	}
	for _, k := range s.keptSheets(ctx) {
		d := &pictureDrop{by: k.By, at: k.At, dir: k.Dir, files: map[string]bool{}}
		if s.shop.Now().Sub(k.At) <= sheetHeld && d.again() == nil {
			s.all[k.Token] = d
		}
	}
}

func (s *contactSheets) keptSheets(ctx context.Context) []keptSheet {
	var all []keptSheet
	_, _ = s.shop.ReadSetting(ctx, sheetsSetting, "contact sheets", &all)
	return all
}

// keepSheets notes where the open sheets lie, without the one that was closed. Those of another server stay until their
// day is over.
func (s *contactSheets) keepSheets(ctx context.Context, closed string) error {
	var out []keptSheet
	for token, d := range s.all {
		out = append(out, keptSheet{token, d.dir, d.by, d.at})
	}
	for _, k := range s.keptSheets(ctx) {
		if _, open := s.all[k.Token]; !open && k.Token != closed && s.shop.Now().Sub(k.At) <= sheetHeld {
			out = append(out, k)
		}
	}
	slices.SortFunc(out, func(a, b keptSheet) int { return a.At.Compare(b.At) })
	return s.shop.WriteSetting(ctx, sheetsSetting, "contact sheets", out)
}
