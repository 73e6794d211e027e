package store

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"midcase/internal/shop"
)

// Option changes how a store is opened.
type Option func(*Store) error

// ClientKeyBytes is the length of the key that WithClientKey takes.
const ClientKeyBytes = 32

// ErrClientKey is wrapped where client data cannot be read for want of their key.
var ErrClientKey = errors.New("client data are encrypted and this is not their key")

// WithClientKey has client data encrypted at rest with AES-256-GCM. The key is kept outside
// the database; without it the data cannot be read by anybody. Each client has a data
// key of its own, encrypted with this one, so that taking it away erases the client.
func WithClientKey(key []byte) Option {
	return func(s *Store) error { return s.UseClientKey(key) }
}

// UseClientKey is WithClientKey for a store that is open and not in use yet.
func (s *Store) UseClientKey(key []byte) error {
	if len(key) != ClientKeyBytes {
		return fmt.Errorf("client key: found %d bytes; want %d", len(key), ClientKeyBytes)
	}
	var err error
	s.clientKey, err = gcm(key)
	return err
}

// Unreadable is the name of a client whose data cannot be decrypted because their key is lost.
const Unreadable = "(encrypted; the key is missing)"

// LoseClientKey opens the shop without the key of its client data: stock and ledger go on, clients are shown as
// Unreadable, and nothing is written about them.
func (s *Store) LoseClientKey() { s.keyLost = true }

// KeyLost reports whether LoseClientKey was called.
func KeyLost(s *Store) bool { return s.keyLost }

// HasSealed reports whether any client's data are encrypted, so that there must be a
// key for them.
func (s *Store) HasSealed(ctx context.Context) (bool, error) {
	return have(ctx, s.read, `SELECT COUNT(*) FROM client_keys`)
}

func gcm(key []byte) (cipher.AEAD, error) {
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	return cipher.NewGCMWithRandomNonce(block)
}

// sealPrefix begins a sealed record, which JSON never does.
const sealPrefix = "sealed1:"

func sealed(doc string) bool { return strings.HasPrefix(doc, sealPrefix) }

func seal(k cipher.AEAD, about string, plainText []byte) string {
	return base64.StdEncoding.EncodeToString(k.Seal(nil, nil, plainText, []byte(about)))
}

func unseal(k cipher.AEAD, about, text string) ([]byte, error) {
	b, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		return nil, fmt.Errorf("sealed record is damaged: %w", err)
	}
	out, err := k.Open(nil, nil, b, []byte(about))
	if err != nil {
		return nil, ErrClientKey
	}
	return out, nil
}

// What is sealed is bound to what it is about, so that no record passes for another's.
func aboutKey(id string) string    { return "client key\n" + id }
func aboutClient(id string) string { return "client\n" + id }

// sealClient encrypts a client's record with the client's data key, made where missing.
func (s *Store) sealClient(ctx context.Context, tx *transaction, id, doc string) (string, error) {
	var wrapped string
	err := found(tx.QueryRowContext(ctx, `SELECT wrapped FROM client_keys WHERE id = $1`, id).Scan(&wrapped))
	if errors.Is(err, shop.ErrNotFound) {
		if err := s.holdsKey(ctx, tx, s.clientKey); err != nil { // it may have been changed meanwhile
			return "", err
		}
		key := make([]byte, ClientKeyBytes)
		if _, err := rand.Read(key); err != nil {
			return "", err
		}
		wrapped = seal(s.clientKey, aboutKey(id), key)
		_, err = tx.ExecContext(ctx, `INSERT INTO client_keys (id, wrapped) VALUES ($1, $2)`, id, wrapped)
	}
	if err != nil {
		return "", err
	}
	k, err := s.dataKey(id, wrapped)
	if err != nil {
		return "", err
	}
	return sealPrefix + seal(k, aboutClient(id), []byte(doc)), nil
}

func (s *Store) dataKey(id, wrapped string) (cipher.AEAD, error) {
	if s.clientKey == nil || wrapped == "" {
		return nil, ErrClientKey
	}
	key, err := unseal(s.clientKey, aboutKey(id), wrapped)
	if err != nil {
		return nil, err
	}
	return gcm(key)
}

// unsealClient is the JSON of a client's record.
func (s *Store) unsealClient(id string, k keptClient) (string, error) {
	if !sealed(k.doc) {
		return k.doc, nil
	}
	key, err := s.dataKey(id, k.wrapped)
	if err != nil {
		return "", err
	}
	b, err := unseal(key, aboutClient(id), strings.TrimPrefix(k.doc, sealPrefix))
	return string(b), err
}

// unsealHistory reads the records in a client's history. What was erased is null.
func (s *Store) unsealHistory(ctx context.Context, id string, changes []Change) error {
	var wrapped string
	err := found(s.read.QueryRowContext(ctx, `SELECT wrapped FROM client_keys WHERE id = $1`, id).Scan(&wrapped))
	if err != nil && !errors.Is(err, shop.ErrNotFound) {
		return err
	}
	open := func(doc json.RawMessage) (json.RawMessage, error) {
		if sealed(string(doc)) && wrapped == "" {
			return json.RawMessage("null"), nil
		}
		text, err := s.unsealClient(id, keptClient{string(doc), wrapped})
		return json.RawMessage(text), err
	}
	for i := range changes {
		if changes[i].After, err = open(changes[i].After); err != nil {
			return fmt.Errorf("history of client %s: %w", id, err)
		}
		if changes[i].Before == nil {
			continue
		}
		if changes[i].Before, err = open(changes[i].Before); err != nil {
			return fmt.Errorf("history of client %s: %w", id, err)
		}
	}
	return nil
}
