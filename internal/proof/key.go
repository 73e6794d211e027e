package proof

import (
	"crypto/ed25519"
	"crypto/rand"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// Key signs for one shop.
type Key struct {
	signer note.Signer
	public string
}

// NewKey makes a key and the text in which it is kept. Its name tells keys apart and says nothing of the shop.
func NewKey() (Key, string, error) {
	var b [4]byte
	if _, err := rand.Read(b[:]); err != nil {
		return Key{}, "", err
	}
	secret, _, err := note.GenerateKey(rand.Reader, "midcase-"+hex.EncodeToString(b[:]))
	if err != nil {
		return Key{}, "", err
	}
	k, err := ReadKey(secret)
	return k, secret, err
}

var errKey = errors.New("no key for signing: want a text such as PRIVATE+KEY+…")

// ReadKey reads the text in which a key is kept.
func ReadKey(text string) (Key, error) {
	text = strings.TrimSpace(text)
	signer, err := note.NewSigner(text)
	if err != nil {
		return Key{}, errKey
	}
	parts := strings.SplitN(text, "+", 5)
	seed, err := base64.StdEncoding.DecodeString(parts[4])
	if err != nil || len(seed) != 1+ed25519.SeedSize {
		return Key{}, errKey
	}
	public, err := note.NewEd25519VerifierKey(signer.Name(),
		ed25519.NewKeyFromSeed(seed[1:]).Public().(ed25519.PublicKey))
	return Key{signer, public}, err
}

// Public is the text with which others verify what the key signed.
func (k Key) Public() string { return k.public }

func (k Key) sign(text string) (string, error) {
	b, err := note.Sign(&note.Note{Text: text}, k.signer)
	return string(b), err
}

// open returns the text of a note that the public key signed.
func open(signed, public string) (string, error) {
	v, err := note.NewVerifier(public)
	if err != nil {
		return "", fmt.Errorf("%q is no public key: want a text such as midcase-0a1b2c3d+9f8e7d6c+…", public)
	}
	n, err := note.Open([]byte(signed), note.VerifierList(v))
	if err != nil || len(n.Sigs) != 1 || len(n.UnverifiedSigs) > 0 {
		return "", errors.New("it is not signed by this key")
	}
	// The library takes any last bits of base64; one signature has one text.
	if _, err := base64.StdEncoding.Strict().DecodeString(n.Sigs[0].Base64); err != nil {
		return "", errors.New("it is not signed by this key")
	}
	return n.Text, nil
}

// Head is a head of the evidence log.
type Head struct {
	Size int64
	Root string // base64
}

// String is SIZE:ROOT.
func (h Head) String() string { return fmt.Sprintf("%d:%s", h.Size, h.Root) }

// SignHead writes a head as a signed note: name of the key, size, root, each on a line.
func (k Key) SignHead(h Head) (string, error) {
	return k.sign(fmt.Sprintf("%s\n%d\n%s\n", k.signer.Name(), h.Size, h.Root))
}

// OpenHead reads a head that the public key signed.
func OpenHead(signed, public string) (Head, error) {
	text, err := open(signed, public)
	if err != nil {
		return Head{}, fmt.Errorf("head of the log: %w", err)
	}
	lines := strings.Split(text, "\n")
	if len(lines) < 3 {
		return Head{}, errors.New("head of the log: want three lines")
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil {
		return Head{}, fmt.Errorf("head of the log: size %q", lines[1])
	}
	return Head{size, lines[2]}, nil
}
