package staff_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"net/netip"
	"testing"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/staff"
)

var fromHere = netip.MustParseAddr("192.0.2.7")

// device is an authenticator made of the standard's text (W3C Web Authentication, level 3, sections 6.1 and 6.5.4;
// COSE keys by RFC 9053): its answers are bytes put together here, not by the library that reads them.
type device struct {
	key      *ecdsa.PrivateKey
	id       []byte
	handle   []byte
	host     string
	origin   string
	verifies bool // the device asked for a finger
	count    uint32
}

func newDevice(t *testing.T) *device {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return &device{key: key, id: []byte("a device's own name"), host: "shop.example", origin: "https://shop.example",
		verifies: true}
}

func text64(b []byte) string { return base64.RawURLEncoding.EncodeToString(b) }

// data is the authenticator's data: hash of the name, flags, count, and more.
func (d *device) data(flags byte, more []byte) []byte {
	sum := sha256.Sum256([]byte(d.host))
	flags |= 1 // somebody was there
	if d.verifies {
		flags |= 4
	}
	d.count++
	return append(binary.BigEndian.AppendUint32(append(sum[:], flags), d.count), more...)
}

func (d *device) client(t *testing.T, kind, challenge string) []byte {
	t.Helper()
	b, err := json.Marshal(map[string]any{"type": kind, "challenge": challenge, "origin": d.origin,
		"crossOrigin": false})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// make answers a challenge with a new key, in CBOR (RFC 8949).
func (d *device) make(t *testing.T, c staff.Challenge) []byte {
	t.Helper()
	var asked struct {
		Challenge string
		User      struct{ ID string }
	}
	if err := json.Unmarshal(c.Options, &asked); err != nil {
		t.Fatal(err)
	}
	d.handle, _ = base64.RawURLEncoding.DecodeString(asked.User.ID)
	point, err := d.key.PublicKey.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	// {1: 2, 3: -7, -1: 1, -2: x, -3: y}: an elliptic curve key for ES256 on P-256.
	cose := append([]byte{0xa5, 1, 2, 3, 0x26, 0x20, 1, 0x21, 0x58, 32}, point[1:33]...)
	cose = append(append(cose, 0x22, 0x58, 32), point[33:]...)
	attested := append(make([]byte, 16), 0, byte(len(d.id)))
	data := d.data(0x40, append(append(attested, d.id...), cose...))
	object := append([]byte("\xa3\x63fmt\x64none\x67attStmt\xa0\x68authData\x58"), byte(len(data)))
	return d.answer(t, map[string]string{"clientDataJSON": text64(d.client(t, "webauthn.create", asked.Challenge)),
		"attestationObject": text64(append(object, data...))})
}

// sign answers a challenge with the key.
func (d *device) sign(t *testing.T, c staff.Challenge) []byte {
	t.Helper()
	var asked struct{ Challenge string }
	if err := json.Unmarshal(c.Options, &asked); err != nil {
		t.Fatal(err)
	}
	data, client := d.data(0, nil), d.client(t, "webauthn.get", asked.Challenge)
	said := sha256.Sum256(client)
	sum := sha256.Sum256(append(append([]byte{}, data...), said[:]...))
	signature, err := ecdsa.SignASN1(rand.Reader, d.key, sum[:])
	if err != nil {
		t.Fatal(err)
	}
	return d.answer(t, map[string]string{"clientDataJSON": text64(client), "authenticatorData": text64(data),
		"signature": text64(signature), "userHandle": text64(d.handle)})
}

func (d *device) answer(t *testing.T, response map[string]string) []byte {
	t.Helper()
	b, err := json.Marshal(map[string]any{"id": text64(d.id), "rawId": text64(d.id), "type": "public-key",
		"response": response, "clientExtensionResults": map[string]any{}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// withKey is a shop with a person who has a passkey.
func withKey(t *testing.T) (*staff.Room, *device) {
	t.Helper()
	room, d := shoptest.New(t).Staff, newDevice(t)
	if err := room.Add(t.Context(), "Ines", "four words for everybody", rights.Owner); err != nil {
		t.Fatal(err)
	}
	c, err := room.AskPasskey(t.Context(), "Ines", d.origin)
	if err != nil {
		t.Fatal(err)
	}
	if err := room.AddPasskey(t.Context(), "Ines", d.origin, c.Kept, "phone", d.make(t, c)); err != nil {
		t.Fatal(err)
	}
	return room, d
}

func asked(t *testing.T, room *staff.Room, origin string) staff.Challenge {
	t.Helper()
	c, err := room.AskSignIn(t.Context(), origin, fromHere)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestPasskeySignsIn(t *testing.T) {
	t.Parallel()
	room, d := withKey(t)
	c := asked(t, room, d.origin)
	answer := d.sign(t, c)
	p, err := room.AdmitPasskey(t.Context(), d.origin, c.Kept, answer, fromHere)
	if err != nil || p.Name != "Ines" {
		t.Fatalf("%q, %v; want Ines", p.Name, err)
	}
	keys, err := room.Passkeys(t.Context(), "Ines")
	if err != nil || len(keys) != 1 || keys[0].Name != "phone" || keys[0].Used.IsZero() {
		t.Errorf("passkeys %+v, %v; want the phone, used", keys, err)
	}
	_, err = room.AdmitPasskey(t.Context(), d.origin, c.Kept, answer, fromHere)
	if !errors.Is(err, staff.ErrRefused) {
		t.Errorf("the same answer once more: %v", err)
	}
	if err := room.DropPasskey(t.Context(), "Ines", keys[0].ID); err != nil {
		t.Fatal(err)
	}
	c = asked(t, room, d.origin)
	_, err = room.AdmitPasskey(t.Context(), d.origin, c.Kept, d.sign(t, c), fromHere)
	if !errors.Is(err, staff.ErrRefused) {
		t.Errorf("a passkey that was removed: %v", err)
	}
}

// What is no answer of this key, for this shop, to this question, by somebody who showed a finger, is refused.
func TestPasskeysThatAreRefused(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(d *device){
		"from another site":         func(d *device) { d.origin = "https://shop.example.test" },
		"for another name":          func(d *device) { d.host = "elsewhere.example" },
		"nobody showed a finger":    func(d *device) { d.verifies = false },
		"another key":               func(d *device) { d.key, _ = ecdsa.GenerateKey(elliptic.P256(), rand.Reader) },
		"another person's":          func(d *device) { d.handle = []byte("somebody else") },
		"a copy that counts behind": func(d *device) { d.count = 0 },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			room, d := withKey(t)
			c := asked(t, room, d.origin)
			if _, err := room.AdmitPasskey(t.Context(), d.origin, c.Kept, d.sign(t, c), fromHere); err != nil {
				t.Fatal(err)
			}
			origin := d.origin
			c = asked(t, room, origin)
			spoil(d)
			_, err := room.AdmitPasskey(t.Context(), origin, c.Kept, d.sign(t, c), fromHere)
			if !errors.Is(err, staff.ErrRefused) {
				t.Errorf("error %v; want it refused", err)
			}
		})
	}
	room, d := withKey(t)
	_, err := room.AdmitPasskey(t.Context(), d.origin, "", d.sign(t, asked(t, room, d.origin)), fromHere)
	if !errors.Is(err, staff.ErrRefused) {
		t.Errorf("an answer to nothing that was asked: %v", err)
	}
}

func TestWherePasskeysCannotBe(t *testing.T) {
	t.Parallel()
	for origin, can := range map[string]bool{"https://shop.example": true, "https://shop.example:8443": true,
		"http://localhost:8730": true, "http://127.0.0.1:8730": false, "https://192.0.2.1": false,
		"http://[::1]:80": false, "http://shop.example": false, "": false} {
		if why := staff.NoPasskeys(origin); (why == "") != can {
			t.Errorf("%q: %q; want passkeys there: %v", origin, why, can)
		}
	}
}
