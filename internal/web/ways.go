package web

import (
	"context"
	"encoding/base64"
	"net/http"
	"strconv"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/staff"
)

// codeForm shows that an app was set up.
type codeForm struct {
	Code string `form:"code,needed" label:"Code" hint:"six digits, as the app shows them now" auto:"one-time-code"`
	Now  string `form:"code_password,needed" label:"Your password" kind:"password" auto:"current-password"`
}

// dropCodesForm takes the app away again.
type dropCodesForm struct {
	Now string `form:"code_password,needed" label:"Your password" kind:"password" auto:"current-password"`
}

// tokenForm makes a token for a program, which may look at watches always.
type tokenForm struct {
	Name    string `form:"token_name,needed" label:"For" hint:"which program, such as web site" auto:"off"`
	Days    string `form:"days" label:"For how long" kind:"choice"`
	Cost    bool   `form:"cost" label:"See what watches cost and what to pay"`
	Record  bool   `form:"record" label:"Record evidence"`
	Trade   bool   `form:"trade" label:"Buy, sell and move watches"`
	Clients bool   `form:"clients" label:"See and change clients"`
	Ledger  bool   `form:"ledger" label:"See the ledger and book money"`
	Papers  bool   `form:"papers" label:"Issue papers"`
	Import  bool   `form:"import" label:"Add past sales"`
	Now     string `form:"token_password,needed" label:"Your password" kind:"password" auto:"current-password"`
}

var (
	newCodes  = form.Define[codeForm]("code from an app")
	noCodes   = form.Define[dropCodesForm]("code from an app to remove")
	newTokens = form.Define[tokenForm]("token")
)

// Prepare implements the choices of a form.
func (f *tokenForm) Prepare(v *form.View) {
	v.Offer(&f.Days, form.Option{Value: "30", Text: "30 days"}, form.Option{Value: "90", Text: "90 days"},
		form.Option{Value: "365", Text: "a year"})
}

// may are the rights ticked.
func (f *tokenForm) may() []rights.Right {
	out := []rights.Right{rights.See}
	for _, t := range []struct {
		ticked bool
		right  rights.Right
	}{{f.Cost, rights.Cost}, {f.Record, rights.Record}, {f.Trade, rights.Trade}, {f.Clients, rights.Clients},
		{f.Ledger, rights.Ledger}, {f.Papers, rights.Papers}, {f.Import, rights.Import}} {
		if t.ticked {
			out = append(out, t.right)
		}
	}
	return out
}

// waysIn fills in what the page shows of codes and tokens.
func (g *gate) waysIn(ctx context.Context, d *page.Account) (err error) {
	room := g.shop.Staff
	if d.HasCodes, err = room.HasCodes(ctx, d.Person.Name); err != nil {
		return err
	}
	if d.Code == nil {
		d.Code = &newCodes.Of(ctx, codeForm{}).View
	}
	if d.DropCodes == nil {
		d.DropCodes = &noCodes.Of(ctx, dropCodesForm{}).View
	}
	if !d.HasCodes {
		if d.Secret == "" {
			if d.Secret, _, err = room.NewSecret(d.Person.Name); err != nil {
				return err
			}
		}
		picture, err := staff.Picture(room.SecretAddress(d.Person.Name, d.Secret))
		if err != nil {
			return err
		}
		d.Picture = "data:image/png;base64," + base64.StdEncoding.EncodeToString(picture)
	}
	if d.Passkeys, err = room.Passkeys(ctx, d.Person.Name); err != nil {
		return err
	}
	if d.Tokens, err = room.Tokens(ctx, d.Person.Name); err != nil {
		return err
	}
	if d.Token == nil {
		d.Token = &newTokens.Of(ctx, tokenForm{Days: "90"}).View
	}
	return nil
}

func (g *gate) setUpCodes(w http.ResponseWriter, r *http.Request, p staff.Person) error {
	f, err := newCodes.Read(r, codeForm{})
	if err != nil {
		return err
	}
	secret := r.PostFormValue("secret")
	if err := g.again(r, p, "code_password", f.OK(), func(says string) { f.Wrong(&f.V.Now, says) }); err != nil {
		return err
	}
	if f.OK() {
		err = g.shop.Staff.AddCodes(r.Context(), p.Name, secret, f.V.Code)
	}
	if f.Refused(err, nil) || !f.OK() {
		return g.showAccount(w, r, page.Account{Code: &f.View, Secret: secret})
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/account?done=codes", http.StatusSeeOther)
	return nil
}

func (g *gate) dropCodes(w http.ResponseWriter, r *http.Request, p staff.Person) error {
	f, err := noCodes.Read(r, dropCodesForm{})
	if err != nil {
		return err
	}
	if err := g.again(r, p, "code_password", f.OK(), func(says string) { f.Wrong(&f.V.Now, says) }); err != nil {
		return err
	}
	if !f.OK() {
		return g.showAccount(w, r, page.Account{DropCodes: &f.View})
	}
	if err := g.shop.Staff.DropCodes(r.Context(), p.Name); err != nil {
		return err
	}
	http.Redirect(w, r, "/account?done=drop-codes", http.StatusSeeOther)
	return nil
}

func (g *gate) makeToken(w http.ResponseWriter, r *http.Request, p staff.Person) error {
	f, err := newTokens.Read(r, tokenForm{})
	if err != nil {
		return err
	}
	if err := g.again(r, p, "token_password", f.OK(), func(says string) { f.Wrong(&f.V.Now, says) }); err != nil {
		return err
	}
	if !f.OK() {
		return g.showAccount(w, r, page.Account{Token: &f.View})
	}
	days, err := strconv.Atoi(f.V.Days)
	if err != nil {
		days = 0 // refused below
	}
	made, err := g.shop.Staff.AddToken(r.Context(), p.Name, f.V.Name, f.V.may(), days)
	if f.Refused(err, map[string]string{"name": "token_name", "rights": "cost"}) {
		return g.showAccount(w, r, page.Account{Token: &f.View})
	}
	if err != nil {
		return err
	}
	return g.showAccount(w, r, page.Account{Made: made})
}
