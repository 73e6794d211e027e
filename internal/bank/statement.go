package bank

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Statement is one statement of one account.
type Statement struct {
	Account string      `json:"account,omitempty"` // IBAN or another number
	ID      string      `json:"id,omitempty"`
	Opening money.Money `json:"opening,omitzero"`
	Closing money.Money `json:"closing,omitzero"`
	Lines   []Line      `json:"lines"`
	Says    []string    `json:"says,omitempty"` // what does not add up or was left out
}

// Line is one movement on the account.
type Line struct {
	Key       string      `json:"key"` // the same whenever the line is read again
	Number    int         `json:"number"`
	Day       string      `json:"day"`
	Amount    money.Money `json:"amount"`              // above zero: came in
	Original  money.Money `json:"original,omitzero"`   // in the currency in which it was sent, where that is another
	Charges   money.Money `json:"charges,omitzero"`    // taken off on the way, above zero
	Name      string      `json:"name,omitempty"`      // the other side
	Account   string      `json:"account,omitempty"`   // its account
	Text      string      `json:"text,omitempty"`      // what it is for
	Reference string      `json:"reference,omitempty"` // end-to-end id or a creditor's reference
	BankRef   string      `json:"bank_ref,omitempty"`  // the bank's own
	BankFee   bool        `json:"bank_fee,omitempty"`  // the bank's charge itself
	Reversal  bool        `json:"reversal,omitempty"`  // takes an earlier movement back
}

// Options say what a table does not.
type Options struct {
	Currency money.Currency // where a table names none
	Now      time.Time
	DayOrder string // day-first or month-first, where figures do not tell; empty: ask
}

// ErrStatement is wrapped by what Read refuses.
var ErrStatement = errors.New("no bank statement that can be read")

// MostBytes is the largest file that is read.
const MostBytes = 16 << 20

// Read reads a statement, as XML or as a table.
func Read(b []byte, opt Options) ([]Statement, error) {
	if len(b) > MostBytes {
		return nil, fmt.Errorf("%w: it is larger than %d MB", ErrStatement, MostBytes>>20)
	}
	text := bytes.TrimSpace(bytes.TrimPrefix(b, []byte("\uFEFF")))
	if len(text) == 0 {
		return nil, fmt.Errorf("%w: the file is empty", ErrStatement)
	}
	var all []Statement
	var err error
	if text[0] == '<' {
		all, err = readXML(text)
	} else {
		all, err = readTable(b, opt)
	}
	for i := range all {
		all[i].finish()
	}
	return all, err
}

// finish numbers lines, gives them their keys and holds them against the balances.
func (s *Statement) finish() {
	seen := map[string]int{}
	sum, ok := decimal.Zero, true
	for i := range s.Lines {
		l := &s.Lines[i]
		l.Number = i + 1
		told := strings.Join([]string{s.Account, l.Day, l.Amount.String(), l.Reference, l.BankRef, l.Name, l.Text},
			"\x1f")
		seen[told]++
		hash := sha256.Sum256([]byte(fmt.Sprintf("%s\x1f%d", told, seen[told])))
		l.Key = hex.EncodeToString(hash[:8])
		if s.Opening.IsZero() || l.Amount.Currency() != s.Opening.Currency() {
			ok = false
			continue
		}
		var err error
		if sum, err = sum.Add(l.Amount.Decimal()); err != nil {
			ok = false
		}
	}
	if s.Opening.IsZero() || s.Closing.IsZero() || !ok && len(s.Lines) > 0 {
		return
	}
	end, err := s.Opening.Decimal().Add(sum)
	if err == nil && end.Cmp(s.Closing.Decimal()) != 0 {
		s.Says = append(s.Says, fmt.Sprintf("The statement does not add up: %s and movements of %s make %s, and it closes with %s.",
			s.Opening, sum, end, s.Closing))
	}
}
