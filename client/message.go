package client

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// Message is what an address that hears of changes is sent. It may come twice; its ID tells.
type Message struct {
	ID    string            `json:"id"`
	At    time.Time         `json:"at"`
	Event string            `json:"event"` // such as watch.changed
	Data  map[string]string `json:"data"`  // what it is about, by ids
}

// The headers of a message, as the specification Standard Webhooks 1.0 has them.
const (
	messageID        = "Webhook-Id"
	messageTime      = "Webhook-Timestamp"
	messageSignature = "Webhook-Signature"
)

// ErrSignature is wrapped by ReadMessage for a message that the shop has not signed, or not lately.
var ErrSignature = errors.New("not a message of the shop")

// messageAge is how old a message may be, and how far ahead the sender's clock.
const messageAge = 5 * time.Minute

func mac(secret, id, at string, body []byte) ([]byte, error) {
	key, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(secret, "whsec_"))
	if err != nil || len(key) == 0 {
		return nil, errors.New("the secret of an address begins with whsec_, then base64")
	}
	h := hmac.New(sha256.New, key)
	fmt.Fprintf(h, "%s.%s.", id, at)
	h.Write(body)
	return h.Sum(nil), nil
}

// SignMessage sets the headers of a message with HMAC-SHA-256 over its id, its time and its body.
func SignMessage(h http.Header, secret, id string, at time.Time, body []byte) error {
	stamp := strconv.FormatInt(at.Unix(), 10)
	sum, err := mac(secret, id, stamp, body)
	if err != nil {
		return err
	}
	h.Set(messageID, id)
	h.Set(messageTime, stamp)
	h.Set(messageSignature, "v1,"+base64.StdEncoding.EncodeToString(sum))
	return nil
}

// ReadMessage reads a message that was received with these headers, if its signature is right and it was signed lately.
func ReadMessage(h http.Header, secret string, body []byte, now time.Time) (m Message, err error) {
	stamp := h.Get(messageTime)
	seconds, err := strconv.ParseInt(stamp, 10, 64)
	if err != nil {
		return m, fmt.Errorf("time %q: %w", stamp, ErrSignature)
	}
	if age := now.Sub(time.Unix(seconds, 0)); age > messageAge || age < -messageAge {
		return m, fmt.Errorf("signed %s ago: %w", age.Round(time.Second), ErrSignature)
	}
	want, err := mac(secret, h.Get(messageID), stamp, body)
	if err != nil {
		return m, err
	}
	for _, one := range strings.Fields(h.Get(messageSignature)) {
		version, text, _ := strings.Cut(one, ",")
		got, err := base64.StdEncoding.DecodeString(text)
		if version == "v1" && err == nil && hmac.Equal(got, want) {
			return m, json.Unmarshal(body, &m)
		}
	}
	return m, fmt.Errorf("signature: %w", ErrSignature)
}
