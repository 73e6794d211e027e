package staff

import (
	"bytes"
	"cmp"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"net/url"
	"strings"
	"time"

	"github.com/pquerna/otp"
	"github.com/pquerna/otp/totp"

	"midcase/internal/shop"
)

// ErrCodeWanted is returned for a right password of somebody who also has an app with codes, where none was given.
var ErrCodeWanted = errors.New("enter the code from your app too")

const codeKind = "code"

// codeData is what is kept of an app with codes. A step that was used is not taken again.
type codeData struct {
	Secret string `json:"secret"`
	Step   int64  `json:"step"`
}

// codeOptions are those that every app knows (RFC 6238).
var codeOptions = totp.ValidateOpts{Period: codePeriod, Digits: otp.DigitsSix, Algorithm: otp.AlgorithmSHA1}

const codePeriod, codeSkew = 30, 1 // seconds; steps to either side

// NewSecret makes a secret for an app with codes, and the address that the app takes it from.
func (r *Room) NewSecret(person string) (secret, address string, err error) {
	key, err := totp.Generate(totp.GenerateOpts{Issuer: r.shop.Name(), AccountName: person, Period: codePeriod,
		Rand: rand.Reader})
	if err != nil {
		return "", "", fmt.Errorf("secret for codes: %w", err)
	}
	return key.Secret(), key.URL(), nil
}

// SecretAddress is the address of a secret that was made before.
func (r *Room) SecretAddress(person, secret string) string {
	q := url.Values{"secret": {secret}, "issuer": {r.shop.Name()}}
	u := url.URL{Scheme: "otpauth", Host: "totp", Path: "/" + r.shop.Name() + ":" + person, RawQuery: q.Encode()}
	return u.String()
}

// AddCodes has a person asked for a code at each sign-in, once the app has shown that it makes the right ones. It takes
// the place of an app they had.
func (r *Room) AddCodes(ctx context.Context, person, secret, code string) error {
	p, err := r.named(ctx, person)
	if err != nil {
		return err
	}
	step, ok := codeStep(secret, code, r.shop.Now())
	if !ok || len(secret) < 16 {
		return &shop.Invalid{What: "code", Problems: oneProblem("code", code, "the six digits that the app shows now")}
	}
	was, _, err := r.codes(ctx, p.Name)
	if err != nil {
		return err
	}
	c := shop.Credential{ID: cmp.Or(was.ID, rand.Text()), Person: p.Name, Kind: codeKind, Name: "app",
		Made: r.shop.Now().UTC()}
	if c.Data, err = (codeData{secret, step}).text(); err != nil {
		return err
	}
	if err := r.doors.KeepCredential(ctx, c); err != nil {
		return err
	}
	return r.changed(ctx, p.Name, "codes set up")
}

// DropCodes ends it.
func (r *Room) DropCodes(ctx context.Context, person string) error {
	p, err := r.named(ctx, person)
	if err != nil {
		return err
	}
	if err := r.dropCodes(ctx, p.Name); err != nil {
		return err
	}
	return r.changed(ctx, p.Name, "codes removed")
}

func (r *Room) dropCodes(ctx context.Context, person string) error {
	c, _, err := r.codes(ctx, person)
	if err != nil || c.ID == "" {
		return err
	}
	return r.doors.DropCredentials(ctx, person, c.ID)
}

// HasCodes reports whether a person is asked for a code.
func (r *Room) HasCodes(ctx context.Context, person string) (bool, error) {
	c, _, err := r.codes(ctx, person)
	return c.ID != "", err
}

// codes is the app of a person; its ID is empty where there is none.
func (r *Room) codes(ctx context.Context, person string) (c shop.Credential, d codeData, err error) {
	all, err := r.doors.Credentials(ctx, person)
	if err != nil {
		return c, d, err
	}
	for _, c := range all {
		if c.Kind == codeKind {
			if err := json.Unmarshal([]byte(c.Data), &d); err != nil {
				return c, d, fmt.Errorf("codes of %s: %w", person, err)
			}
			return c, d, nil
		}
	}
	return c, d, nil
}

// checkCode errs where a person has an app with codes and this is not the one it shows.
func (r *Room) checkCode(ctx context.Context, person, code string) error {
	c, d, err := r.codes(ctx, person)
	if err != nil || c.ID == "" {
		return err
	}
	if strings.TrimSpace(code) == "" {
		return ErrCodeWanted
	}
	step, ok := codeStep(d.Secret, code, r.shop.Now())
	if !ok || step <= d.Step {
		return ErrRefused
	}
	// A code is good once, also for many who send it at the same moment and on a full disk.
	taken := []shop.TryLimit{{Key: fmt.Sprintf("code %s %d", c.ID, step), Most: 1, Within: codeGood}}
	if wait, err := r.takeTry(ctx, rand.Text(), taken); err != nil || wait > 0 {
		return cmp.Or(err, ErrRefused)
	}
	d.Step, c.Used = step, r.shop.Now().UTC()
	if c.Data, err = d.text(); err != nil {
		return err
	}
	if err := r.doors.UseCredential(ctx, c); !errors.Is(err, shop.ErrDiskFull) {
		return err
	}
	return nil
}

// codeGood is longer than any code is taken.
const codeGood = (2*codeSkew + 1) * codePeriod * time.Second

// text is the data as it is kept.
func (d codeData) text() (string, error) {
	b, err := json.Marshal(d)
	return string(b), err
}

// codeStep is the step of RFC 6238 whose code this is.
func codeStep(secret, code string, now time.Time) (step int64, ok bool) {
	code = strings.ReplaceAll(strings.TrimSpace(code), " ", "")
	for away := -codeSkew; away <= codeSkew; away++ {
		at := now.Add(time.Duration(away) * codePeriod * time.Second)
		want, err := totp.GenerateCodeCustom(secret, at, codeOptions)
		if err == nil && subtle.ConstantTimeCompare([]byte(want), []byte(code)) == 1 {
			step, ok = at.Unix()/codePeriod, true
		}
	}
	return step, ok
}

// Picture is an address as a picture that a phone reads, a PNG.
func Picture(address string) ([]byte, error) {
	key, err := otp.NewKeyFromURL(address)
	if err != nil {
		return nil, fmt.Errorf("picture of an address: %w", err)
	}
	img, err := key.Image(qrPixels, qrPixels)
	if err != nil {
		return nil, fmt.Errorf("picture of an address: %w", err)
	}
	var b bytes.Buffer
	err = png.Encode(&b, img)
	return b.Bytes(), err
}

const qrPixels = 240
