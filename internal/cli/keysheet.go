package cli

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

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

// sheet writes a key as a recovery sheet.
func sheet(key []byte) string {
	text := hex.EncodeToString(key)
	var b strings.Builder
	for i := range sheetLines {
		digits := text[i*sheetDigits : (i+1)*sheetDigits]
		fmt.Fprintf(&b, "  %d   %s %s   %s\n", i+1, digits[:4], digits[4:], checkDigits(i+1, digits))
	}
	return b.String()
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

type clientsKeySheetCmd struct{}

// Run prints the recovery sheet.
func (clientsKeySheetCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	key, err := keptClientKey(s.dir)
	if err != nil {
		return err
	}
	if key == nil {
		return errKeyLost
	}
	_, err = fmt.Fprint(a.out, sheetText(s.Name(), key))
	return err
}

// sheetText is the whole of a recovery sheet.
func sheetText(shop string, key []byte) string {
	return fmt.Sprintf("Recovery sheet for the key of the client data of %s\n\n"+
		"Print this and keep it away from the computer, where only those may go who may see client data.\n"+
		"Whoever has it and a copy of the shop can read all client data. Without the key nobody can.\n\n%s\n"+
		"The last two digits of a line are check digits. To type it in: midcase clients key recover\n",
		shop, sheet(key))
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
