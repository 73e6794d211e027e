package staff

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/netip"
	"net/url"
	"strings"
	"time"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"midcase/internal/shop"
)

// Passkey is a key in somebody's device or password store that signs them in (W3C Web Authentication, level 3).
type Passkey struct {
	ID, Name   string
	Made, Used time.Time
}

// Challenge is what a browser is asked to sign, and what is kept of it on the server until the answer comes.
type Challenge struct {
	Options json.RawMessage // for the browser
	Kept    string
}

const (
	passkeyKind = "passkey"
	passkeyGood = 5 * time.Minute // a challenge
	mostKeys    = 20              // of one person
)

// NoPasskeys says why an address such as https://shop.example cannot have passkeys; it is empty where it can. A passkey
// belongs to a name: browsers make none for an address of figures, nor where what is sent can be read on the way.
func NoPasskeys(origin string) string {
	u, err := url.Parse(origin)
	if err != nil || u.Hostname() == "" {
		return "the address of this page is not known"
	}
	if _, err := netip.ParseAddr(u.Hostname()); err == nil {
		return "a passkey belongs to a name, and " + u.Hostname() + " is an address of figures: open the shop under a name, " +
			"such as localhost on this machine or one given with --host"
	}
	if u.Scheme != "https" && u.Hostname() != "localhost" {
		return "browsers make passkeys over TLS only: serve the shop with --tls-cert, or behind something that speaks TLS"
	}
	return ""
}

// party is the shop as it is known to a browser under an address.
func (r *Room) party(origin string) (*webauthn.WebAuthn, error) {
	if why := NoPasskeys(origin); why != "" {
		return nil, &shop.Invalid{What: "passkey", Problems: oneProblem("address", origin, why)}
	}
	u, err := url.Parse(origin)
	if err != nil {
		return nil, err
	}
	name := r.shop.Name()
	if name == "" {
		name = "Midcase"
	}
	limit := webauthn.TimeoutConfig{Enforce: true, Timeout: passkeyGood, TimeoutUVD: passkeyGood}
	return webauthn.New(&webauthn.Config{RPID: u.Hostname(), RPDisplayName: name, RPOrigins: []string{origin},
		AttestationPreference: protocol.PreferNoAttestation,
		Timeouts:              webauthn.TimeoutsConfig{Login: limit, Registration: limit}})
}

// holder is a person as the protocol knows them.
type holder struct {
	name string
	keys []webauthn.Credential
}

func (h holder) WebAuthnID() []byte {
	sum := sha256.Sum256([]byte("person\n" + normal(h.name)))
	return sum[:]
}
func (h holder) WebAuthnName() string                       { return h.name }
func (h holder) WebAuthnDisplayName() string                { return h.name }
func (h holder) WebAuthnCredentials() []webauthn.Credential { return h.keys }

// keysOf are the passkeys of a person, as they are kept and as the protocol has them.
func (r *Room) keysOf(ctx context.Context, person string) (kept []shop.Credential, keys []webauthn.Credential,
	err error) {
	all, err := r.doors.Credentials(ctx, person)
	if err != nil {
		return nil, nil, err
	}
	for _, c := range all {
		if c.Kind != passkeyKind {
			continue
		}
		var key webauthn.Credential
		if err := json.Unmarshal([]byte(c.Data), &key); err != nil {
			return nil, nil, fmt.Errorf("passkey %s: %w", c.Name, err)
		}
		kept, keys = append(kept, c), append(keys, key)
	}
	return kept, keys, nil
}

// Passkeys are those of a person, the oldest first.
func (r *Room) Passkeys(ctx context.Context, person string) ([]Passkey, error) {
	kept, _, err := r.keysOf(ctx, person)
	var out []Passkey
	for _, c := range kept {
		out = append(out, Passkey{ID: c.ID, Name: c.Name, Made: c.Made, Used: c.Used})
	}
	return out, err
}

// AskPasskey begins to add a passkey of a person, for the shop under an address.
func (r *Room) AskPasskey(ctx context.Context, person, origin string) (Challenge, error) {
	p, err := r.named(ctx, person)
	if err != nil {
		return Challenge{}, err
	}
	w, err := r.party(origin)
	if err != nil {
		return Challenge{}, err
	}
	_, keys, err := r.keysOf(ctx, p.Name)
	if err != nil {
		return Challenge{}, err
	}
	if len(keys) >= mostKeys {
		return Challenge{}, &shop.Invalid{What: "passkey", Problems: oneProblem("passkey",
			fmt.Sprintf("%d passkeys", len(keys)), fmt.Sprintf("at most %d; remove one first", mostKeys))}
	}
	options, kept, err := w.BeginRegistration(holder{p.Name, keys},
		webauthn.WithExclusions(webauthn.Credentials(keys).CredentialDescriptors()),
		webauthn.WithAuthenticatorSelection(protocol.AuthenticatorSelection{
			ResidentKey: protocol.ResidentKeyRequirementRequired, RequireResidentKey: protocol.ResidentKeyRequired(),
			UserVerification: protocol.VerificationRequired}))
	if err != nil {
		return Challenge{}, fmt.Errorf("passkey: %w", err)
	}
	return challenge(options.Response, kept)
}

func challenge(options any, kept *webauthn.SessionData) (c Challenge, err error) {
	if c.Options, err = json.Marshal(options); err != nil {
		return c, err
	}
	b, err := json.Marshal(kept)
	c.Kept = string(b)
	return c, err
}

// once reads back what was kept of a challenge, which is good for one answer, also where two come at the same moment.
func (r *Room) once(ctx context.Context, kept string) (d webauthn.SessionData, err error) {
	if json.Unmarshal([]byte(kept), &d) != nil || d.Challenge == "" {
		return d, ErrRefused
	}
	sum := sha256.Sum256([]byte(d.Challenge))
	taken := []shop.TryLimit{{Key: "challenge " + hex.EncodeToString(sum[:]), Most: 1, Within: 2 * passkeyGood}}
	if wait, err := r.takeTry(ctx, rand.Text(), taken); err != nil {
		return d, err
	} else if wait > 0 {
		return d, ErrRefused
	}
	return d, nil
}

// AddPasskey keeps a passkey whose device answered a challenge of AskPasskey.
func (r *Room) AddPasskey(ctx context.Context, person, origin, kept, name string, answer []byte) error {
	p, err := r.named(ctx, person)
	if err != nil {
		return err
	}
	if name = strings.TrimSpace(name); name == "" || len(name) > 2*longestName {
		return &shop.Invalid{What: "passkey", Problems: oneProblem("name", name, "a name, such as phone")}
	}
	w, err := r.party(origin)
	if err != nil {
		return err
	}
	d, err := r.once(ctx, kept)
	if err != nil {
		return err
	}
	said, err := protocol.ParseCredentialCreationResponseBytes(answer)
	if err != nil {
		return ErrRefused
	}
	_, keys, err := r.keysOf(ctx, p.Name)
	if err != nil {
		return err
	}
	key, err := w.CreateCredential(holder{p.Name, keys}, d, said)
	if err != nil || !key.Flags.UserVerified {
		return ErrRefused
	}
	if _, err := r.doors.Credential(ctx, passkeyID(key.ID)); !errors.Is(err, shop.ErrNotFound) {
		return errors.Join(ErrRefused, err) // it is somebody's already
	}
	data, err := json.Marshal(key)
	if err != nil {
		return err
	}
	if err := r.doors.KeepCredential(ctx, shop.Credential{ID: passkeyID(key.ID), Person: p.Name, Kind: passkeyKind,
		Name: name, Data: string(data), Made: r.shop.Now().UTC()}); err != nil {
		return err
	}
	return r.changed(ctx, p.Name, "passkey added: "+name)
}

func passkeyID(raw []byte) string { return "passkey:" + base64.RawURLEncoding.EncodeToString(raw) }

// DropPasskey ends a passkey of a person.
func (r *Room) DropPasskey(ctx context.Context, person, id string) error {
	if !strings.HasPrefix(id, passkeyKind+":") {
		return fmt.Errorf("passkey: %w", shop.ErrNotFound)
	}
	if err := r.doors.DropCredentials(ctx, person, id); err != nil {
		return err
	}
	return r.changed(ctx, person, "passkey removed")
}

// AskSignIn begins a sign-in by a passkey. How often one address may is bounded, since each is kept.
func (r *Room) AskSignIn(ctx context.Context, origin string, address netip.Addr) (Challenge, error) {
	w, err := r.party(origin)
	if err != nil {
		return Challenge{}, err
	}
	limit := []shop.TryLimit{{Key: tryKey("passkey", network(address)), Most: triesAddress, Within: countShort}}
	if wait, err := r.takeTry(ctx, rand.Text(), limit); err != nil {
		return Challenge{}, err
	} else if wait > 0 {
		return Challenge{}, &Wait{wait}
	}
	options, kept, err := w.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired))
	if err != nil {
		return Challenge{}, fmt.Errorf("passkey: %w", err)
	}
	return challenge(options.Response, kept)
}

// AdmitPasskey returns the person whose passkey answered a challenge of AskSignIn. The device has asked for a finger, a
// face or a code, so that no code of an app is wanted. It errs with ErrRefused.
func (r *Room) AdmitPasskey(ctx context.Context, origin, kept string, answer []byte, address netip.Addr) (Person,
	error) {
	w, err := r.party(origin)
	if err != nil {
		return Person{}, err
	}
	d, err := r.once(ctx, kept)
	if err != nil {
		return Person{}, err
	}
	said, err := protocol.ParseCredentialRequestResponseBytes(answer)
	if err != nil {
		return Person{}, ErrRefused
	}
	c, err := r.doors.Credential(ctx, passkeyID(said.RawID))
	if errors.Is(err, shop.ErrNotFound) || err == nil && c.Kind != passkeyKind {
		return Person{}, ErrRefused
	}
	if err != nil {
		return Person{}, err
	}
	p, err := r.named(ctx, c.Person)
	if errors.Is(err, shop.ErrNotFound) {
		return Person{}, ErrRefused
	}
	if err != nil {
		return Person{}, err
	}
	_, keys, err := r.keysOf(ctx, p.Name)
	if err != nil {
		return Person{}, err
	}
	h := holder{p.Name, keys}
	key, err := w.ValidateDiscoverableLogin(func(_, handle []byte) (webauthn.User, error) {
		if !bytes.Equal(handle, h.WebAuthnID()) {
			return nil, ErrRefused
		}
		return h, nil
	}, d, said)
	if err != nil || !key.Flags.UserVerified || key.Authenticator.CloneWarning {
		t := Try{Address: address}
		return Person{}, errors.Join(ErrRefused, r.noteRefused(ctx, p.Name, t))
	}
	data, err := json.Marshal(key)
	if err != nil {
		return Person{}, err
	}
	c.Data, c.Used = string(data), r.shop.Now().UTC()
	if err := r.doors.UseCredential(ctx, c); err != nil && !errors.Is(err, shop.ErrDiskFull) {
		return Person{}, err
	}
	return p, nil
}
