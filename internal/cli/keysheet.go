package cli

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"midcase/internal/document"
	"midcase/internal/shop/rights"
	"midcase/internal/store"
)

// A recovery sheet has the key in lines of eight digits, each with two check digits, to be typed in again by hand.
const (
	sheetLines  = 8
	sheetDigits = 2 * store.ClientKeyBytes / sheetLines
)

// checkDigits are the check digits of a line: the first byte of the SHA-256 of its number and digits.
func checkDigits(line int, digits string) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %s", line, digits))
	return hex.EncodeToString(sum[:1])
}

// sheetOf is the recovery sheet of a key.
func sheetOf(shop string, key []byte, day time.Time) document.KeySheet {
	out, text := document.KeySheet{Shop: shop, Day: day}, hex.EncodeToString(key)
	for i := range sheetLines {
		digits := text[i*sheetDigits : (i+1)*sheetDigits]
		out.Lines = append(out.Lines,
			fmt.Sprintf("  %d   %s %s   %s", i+1, digits[:4], digits[4:], checkDigits(i+1, digits)))
	}
	return out
}

// What is kept of the sheet that was printed: when, and of which key.
const sheetName, sheetWhat = "key-sheet", "recovery sheet"

type printedSheet struct {
	Day time.Time `json:"day"`
	Of  string    `json:"of"` // the start of the SHA-256 of the key
}

func keyMark(key []byte) string {
	sum := sha256.Sum256(key)
	return hex.EncodeToString(sum[:8])
}

// printSheet is the recovery sheet of the shop's key. That it was handed out is noted, so that nobody is reminded of
// it again.
func printSheet(ctx context.Context, s *opened, now time.Time) (document.KeySheet, error) {
	key, err := keptClientKey(s.dir)
	if err == nil && key == nil {
		err = errKeyLost
	}
	if err != nil {
		return document.KeySheet{}, err
	}
	err = s.WriteSetting(rights.With(ctx, ""), sheetName, sheetWhat, printedSheet{now.UTC(), keyMark(key)})
	return sheetOf(s.Name(), key, now), err
}

// sheetWanted reports whether the shop keeps client data under a key of which no sheet was ever handed out.
func sheetWanted(ctx context.Context, s *opened) (bool, error) {
	key, err := keptClientKey(s.dir)
	if err != nil || key == nil {
		return false, err
	}
	sealed, err := s.store.HasSealed(ctx)
	if err != nil || !sealed {
		return false, err
	}
	var kept printedSheet
	_, err = s.ReadSetting(ctx, sheetName, sheetWhat, &kept)
	return kept.Of != keyMark(key), err
}

// readSheet reads the lines of a recovery sheet and says which one was mistyped. Other lines are passed over.
func readSheet(r io.Reader) ([]byte, error) {
	var text string
	next := 1
	lines := bufio.NewScanner(r)
	for lines.Scan() && next <= sheetLines {
		fields := strings.Fields(strings.ToLower(lines.Text()))
		if len(fields) == 0 || fields[0] != fmt.Sprint(next) {
			continue
		}
		all := strings.Join(fields[1:], "")
		if len(all) != sheetDigits+2 || checkDigits(next, all[:sheetDigits]) != all[sheetDigits:] {
			return nil, fmt.Errorf("line %d is mistyped: want eight digits (0–9, a–f) and its two check digits, "+
				"as on the sheet", next)
		}
		text += all[:sheetDigits]
		next++
	}
	if err := lines.Err(); err != nil {
		return nil, err
	}
	if next <= sheetLines {
		return nil, fmt.Errorf("line %d is missing: type all %d lines, each with its number", next, sheetLines)
	}
	return hex.DecodeString(text)
}

type clientsKeySheetCmd struct {
	Out string `short:"o" placeholder:"FILE.pdf" help:"Write it as a PDF to this file, which must not be there yet, instead of showing it."`
}

// Run prints the recovery sheet.
func (c clientsKeySheetCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	one, err := printSheet(a.ctx, s, a.now())
	if err != nil {
		return err
	}
	if c.Out == "" {
		_, err = fmt.Fprint(a.out, one.Text())
		return err
	}
	f, err := os.OpenFile(c.Out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600) // nobody else reads a key
	if err != nil {
		return err
	}
	if err := errors.Join(document.WriteKeySheetPDF(f, one), f.Close()); err != nil {
		return errors.Join(err, os.Remove(c.Out))
	}
	_, err = fmt.Fprintf(a.out, "%s: print it, keep the paper away from the computer, and delete the file\n", c.Out)
	return err
}

type clientsKeyRecoverCmd struct{}

// Run reads a recovery sheet from standard input and writes the key file. It takes only the key that opens the data.
func (clientsKeyRecoverCmd) Run(a *app) error {
	if a.live {
		fmt.Fprintf(a.err, "Type the %d lines of the recovery sheet, each with its number and its check digits.\n",
			sheetLines)
	}
	key, err := readSheet(a.in)
	if err != nil {
		return err
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	path := filepath.Join(s.dir, clientKeyFile)
	if os.Getenv(clientKeyVariable) != "" || exists(path) {
		return errors.New("the key is there: nothing was changed")
	}
	switch ok, err := s.store.OpensClients(a.ctx, key); {
	case err != nil:
		return err
	case !ok:
		return errors.New("this sheet is of another key: it does not open the client data of this shop")
	}
	if err := writeKey(path, []byte(hex.EncodeToString(key)+"\n")); err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%s is there again; a server that runs must be started anew\n", path)
	return err
}
