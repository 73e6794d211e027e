package client_test

import (
	"errors"
	"net/http"
	"testing"
	"time"

	"midcase/client"
)

// The example of the specification Standard Webhooks 1.0 (secret, id, time and body from memory), with the signature
// that openssl computes: printf '%s' 'ID.TIME.BODY' | openssl dgst -sha256 -mac HMAC -macopt hexkey:… -binary.
func TestSignatureAsOthersMakeIt(t *testing.T) {
	const secret, id = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek"
	const body = `{"test": 2432232314}`
	at := time.Unix(1614265330, 0)
	h := http.Header{}
	if err := client.SignMessage(h, secret, id, at, []byte(body)); err != nil {
		t.Fatal(err)
	}
	if got, want := h.Get("webhook-signature"), "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="; got != want {
		t.Errorf("signature %s, want %s", got, want)
	}
	if _, err := client.ReadMessage(h, secret, []byte(body), at.Add(time.Minute)); err != nil {
		t.Error(err)
	}
	for name, err := range map[string]error{
		"another body":   second(client.ReadMessage(h, secret, []byte(body+" "), at)),
		"another secret": second(client.ReadMessage(h, "whsec_AAAA", []byte(body), at)),
		"an old one":     second(client.ReadMessage(h, secret, []byte(body), at.Add(time.Hour))),
		"no headers":     second(client.ReadMessage(http.Header{}, secret, []byte(body), at)),
	} {
		if !errors.Is(err, client.ErrSignature) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
