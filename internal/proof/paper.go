package proof

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// Record is one item of evidence: its place in the log, the hash of its record, and the hashes that lead from it to
// the root.
type Record struct {
	Index int64    `json:"index"`
	Hash  string   `json:"hash"`
	Path  []string `json:"path"`
}

// Proof is what a paper carries.
type Proof struct {
	Version int      `json:"version"`
	Key     string   `json:"key"`   // public; whose it is must be known from elsewhere
	Paper   string   `json:"paper"` // signed: number, sum of the file, head, items
	Head    string   `json:"head"`  // signed
	Records []Record `json:"records,omitempty"`
}

// version of the form of proofs.
const version = 1

// statement is what the signature on a paper covers.
func statement(number string, pdf []byte, h Head, records []Record) string {
	sum := sha256.Sum256(pdf)
	var b strings.Builder
	fmt.Fprintf(&b, "midcase paper\n%s\n%s\n%s\n", number, hex.EncodeToString(sum[:]), h)
	for _, r := range records {
		fmt.Fprintf(&b, "%d %s\n", r.Index, r.Hash)
	}
	return b.String()
}

// Sign appends a proof to a paper. The same paper, head and key give the same bytes.
func (k Key) Sign(pdf []byte, number string, h Head, records []Record) ([]byte, error) {
	p := Proof{Version: version, Key: k.public, Records: records}
	var err error
	if p.Paper, err = k.sign(statement(number, pdf, h, records)); err != nil {
		return nil, fmt.Errorf("sign paper %s: %w", number, err)
	}
	if p.Head, err = k.SignHead(h); err != nil {
		return nil, fmt.Errorf("sign paper %s: %w", number, err)
	}
	out, err := attach(pdf, p)
	if err != nil {
		return nil, fmt.Errorf("sign paper %s: %w", number, err)
	}
	return out, nil
}

// Paper is what a proof says that holds.
type Paper struct {
	Number string
	Head   Head
	Key    string // the public key that signed
	Items  int    // of evidence, each proved to be under the head
}

// ErrNoProof is returned for a file that carries no proof.
var ErrNoProof = errors.New("the file carries no proof: it was issued without a key, or its end was cut off")

// ErrAltered is wrapped where the file is not what was issued.
var ErrAltered = errors.New("the file is not what was issued")

// Verify holds a paper against its proof and the public key; where key is empty, against the one that it carries
// itself.
func Verify(file []byte, key string) (Paper, error) {
	pdf, p, err := detach(file)
	if err != nil {
		return Paper{}, err
	}
	if key == "" {
		key = p.Key
	}
	if key != p.Key {
		return Paper{}, fmt.Errorf("%w: it is signed by another key, %q", ErrAltered, p.Key)
	}
	text, err := open(p.Paper, key)
	if err != nil {
		return Paper{}, err
	}
	h, err := OpenHead(p.Head, key)
	if err != nil {
		return Paper{}, err
	}
	lines := strings.SplitN(text, "\n", 3)
	if len(lines) < 3 || lines[0] != "midcase paper" {
		return Paper{}, fmt.Errorf("%w: what was signed is no paper", ErrAltered)
	}
	out := Paper{Number: lines[1], Head: h, Key: key, Items: len(p.Records)}
	if text != statement(out.Number, pdf, h, p.Records) {
		return Paper{}, ErrAltered
	}
	return out, p.checkRecords(h)
}

// checkRecords proves that each item is under the head.
func (p Proof) checkRecords(h Head) error {
	root, err := tlog.ParseHash(h.Root)
	if err != nil {
		return fmt.Errorf("root of the log %q: want a SHA-256 in base64", h.Root)
	}
	for _, r := range p.Records {
		leaf, err := parseHash(r.Hash)
		if err != nil {
			return fmt.Errorf("item %d: hash %q: want a SHA-256 in base64", r.Index, r.Hash)
		}
		path := make(tlog.RecordProof, len(r.Path))
		for i, text := range r.Path {
			if path[i], err = parseHash(text); err != nil {
				return fmt.Errorf("item %d: hash %q: want a SHA-256 in base64", r.Index, text)
			}
		}
		if err := tlog.CheckRecord(path, h.Size, root, r.Index, leaf); err != nil {
			return fmt.Errorf("item %d is not under the head of the log: %w", r.Index, err)
		}
	}
	return nil
}

// parseHash reads a hash that is written in its one form.
func parseHash(text string) (tlog.Hash, error) {
	h, err := tlog.ParseHash(text)
	if err == nil && h.String() != text {
		err = fmt.Errorf("%w: a hash is written otherwise", ErrAltered)
	}
	return h, err
}
