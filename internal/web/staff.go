package web

import (
	"fmt"
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	page "midcase/internal/web/pages/staff"
)

// staffPages say who may sign in, and with which role.
type staffPages struct{ *site }

func (s *staffPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /people", s.page(s.peoplePage))
	mux.Handle("POST /people", s.page(s.changePeople))
}

// personForm lets somebody in.
type personForm struct {
	Name     string `form:"name,needed" label:"Name" hint:"under which they sign in and record" auto:"off"`
	Role     string `form:"role" label:"Role" kind:"choice" hint:"of somebody who is there already, the role stays where none is chosen"`
	Password string `form:"password,needed" label:"Password" kind:"password" hint:"at least 12 characters, such as four words" auto:"new-password"`
}

var lettingIn = form.Define[personForm]("person")

// Prepare implements the choices of a form.
func (f *personForm) Prepare(v *form.View) {
	all := []form.Option{{Value: "", Text: "as before; viewer for somebody new"}}
	for _, r := range rights.Roles() {
		all = append(all, form.Option{Value: string(r), Text: string(r)})
	}
	v.Offer(&f.Role, all...)
}

// doorShown is how many of the last sign-ins the page lists.
const doorShown = 100

func (s *staffPages) peoplePage(w http.ResponseWriter, r *http.Request) error {
	notices := map[string]string{"add": "Saved.", "role": "Saved. The role counts from the next page on.",
		"remove": "Removed. What they recorded stays.", "sign-out": "Signed out everywhere.",
		"drop-codes": "The password alone lets them in."}
	return s.show(w, r, &lettingIn.Of(r.Context(), personForm{}).View, notices[r.FormValue("done")])
}

func (s *staffPages) show(w http.ResponseWriter, r *http.Request, f *form.View, notice string) error {
	d := page.Data{Frame: s.frame("settings", "People"), Add: f, Notice: notice}
	var err error
	if d.People, err = s.shop.Staff.People(r.Context()); err != nil {
		return err
	}
	if d.Door, err = s.shop.Staff.SignIns(r.Context(), doorShown); err != nil {
		return err
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return page.Page(d).Render(r.Context(), w)
}

func (s *staffPages) changePeople(w http.ResponseWriter, r *http.Request) error {
	ctx, name, act := r.Context(), r.PostFormValue("name"), r.PostFormValue("act")
	var err error
	switch act {
	case "add":
		return s.letIn(w, r)
	case "role":
		err = s.shop.Staff.SetRole(ctx, name, rights.Role(r.PostFormValue("role")))
	case "remove":
		err = s.shop.Staff.Remove(ctx, name)
	case "sign-out":
		err = s.shop.Staff.SignOutEverywhere(ctx, name)
	case "drop-codes":
		err = s.shop.Staff.DropCodes(ctx, name)
	default:
		return shop.Refuse("people", "act", fmt.Sprintf("%.40q", act), "add, role, remove, sign-out or drop-codes")
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/people?done="+act, http.StatusSeeOther)
	return nil
}

func (s *staffPages) letIn(w http.ResponseWriter, r *http.Request) error {
	f, err := lettingIn.Read(r, personForm{})
	if err != nil {
		return err
	}
	if f.OK() {
		err = s.shop.Staff.Add(r.Context(), f.V.Name, r.PostFormValue("password"), rights.Role(f.V.Role))
	}
	if f.Refused(err, nil) || !f.OK() {
		return s.show(w, r, &f.View, "")
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/people?done=add", http.StatusSeeOther)
	return nil
}

// account is the page on which each person keeps their own ways in.
type passwordForm struct {
	Now  string `form:"now,needed" label:"Present password" kind:"password" auto:"current-password"`
	Next string `form:"password,needed" label:"New password" kind:"password" hint:"at least 12 characters, such as four words" auto:"new-password"`
}

var newPasswords = form.Define[passwordForm]("new password")

func (g *gate) account(w http.ResponseWriter, r *http.Request) error {
	notices := map[string]string{"password": "Saved. Your other sessions have ended.",
		"codes": "Saved. From now on you are asked for a code.", "drop-codes": "Removed. The password is enough.",
		"drop-token": "Removed. The program is out at once.", "drop-passkey": "Removed. It opens nothing here any more.",
		"passkey": "Saved. From now on this passkey signs you in."}
	return g.showAccount(w, r, page.Account{Notice: notices[r.FormValue("done")]})
}

// showAccount shows the page with those of its forms that were read, the others empty.
func (g *gate) showAccount(w http.ResponseWriter, r *http.Request, d page.Account) (err error) {
	ctx := r.Context()
	d.Frame = g.frame("", "Your account")
	d.NoPasskeys = staff.NoPasskeys(g.origin(r))
	if d.Person, d.There, err = g.whoever(r); err != nil {
		return err
	}
	if d.Password == nil {
		d.Password = &newPasswords.Of(ctx, passwordForm{}).View
	}
	if d.There {
		if err := g.waysIn(ctx, &d); err != nil {
			return err
		}
		if !d.Password.OK() || !d.Code.OK() || !d.DropCodes.OK() || !d.Token.OK() {
			w.WriteHeader(http.StatusUnprocessableEntity)
		}
	}
	return page.AccountPage(d).Render(ctx, w)
}

// whoever is the person signed in; there is false where nobody has to.
func (g *gate) whoever(r *http.Request) (p staff.Person, there bool, err error) {
	people, err := g.shop.Staff.People(r.Context())
	if err != nil {
		return p, false, err
	}
	if p, there = g.signedIn(r, people); !there {
		p, there = staff.Known(people, frame.User(r.Context())) // let in by the key of a demo
	}
	return p, there, nil
}

func (g *gate) changeAccount(w http.ResponseWriter, r *http.Request) error {
	p, there, err := g.whoever(r)
	if err != nil {
		return err
	}
	if !there {
		return fmt.Errorf("account of nobody: %w", shop.ErrNotFound)
	}
	switch act := r.PostFormValue("act"); act {
	case "password":
		return g.changePassword(w, r, p)
	case "sign-out":
		if err := g.shop.Staff.SignOutEverywhere(r.Context(), p.Name); err != nil {
			return err
		}
		http.Redirect(w, r, "/sign-in", http.StatusSeeOther)
		return nil
	case "codes":
		return g.setUpCodes(w, r, p)
	case "drop-codes":
		return g.dropCodes(w, r, p)
	case "token":
		return g.makeToken(w, r, p)
	case "drop-token", "drop-passkey":
		drop := g.shop.Staff.DropToken
		if act == "drop-passkey" {
			drop = g.shop.Staff.DropPasskey
		}
		err = drop(r.Context(), p.Name, r.PostFormValue("id"))
		if err != nil {
			return err
		}
		http.Redirect(w, r, "/account?done="+act, http.StatusSeeOther)
		return nil
	default:
		return shop.Refuse("account", "act", fmt.Sprintf("%.40q", act), "password, codes, token, drop-passkey or sign-out")
	}
}

// again asks for a person's password once more, in a field of a form whose rest is right, so that a browser left open
// does not give the account away. What was wrong with it is said to wrong.
func (g *gate) again(r *http.Request, p staff.Person, field string, ok bool, wrong func(says string)) error {
	if !ok {
		return nil
	}
	try := staff.Try{Name: p.Name, Password: r.PostFormValue(field), Address: g.address(r), Again: true}
	_, err := g.shop.Staff.Admit(r.Context(), try)
	if says := doorSays(err); says != "" {
		wrong(says)
		return nil
	}
	return err
}

// changePassword asks for the present one first.
func (g *gate) changePassword(w http.ResponseWriter, r *http.Request, p staff.Person) error {
	f, err := newPasswords.Read(r, passwordForm{})
	if err != nil {
		return err
	}
	if err := g.again(r, p, "now", f.OK(), func(says string) { f.Wrong(&f.V.Now, says) }); err != nil {
		return err
	}
	if f.OK() {
		err = g.shop.Staff.ChangePassword(r.Context(), p.Name, r.PostFormValue("password"))
	}
	if f.Refused(err, nil) || !f.OK() {
		return g.showAccount(w, r, page.Account{Password: &f.View})
	}
	if err != nil {
		return err
	}
	people, err := g.shop.Staff.People(r.Context())
	if err != nil {
		return err
	}
	p, _ = staff.Known(people, p.Name)
	g.sessions.Put(r.Context(), sessionMark, p.Mark())
	http.Redirect(w, r, "/account?done=password", http.StatusSeeOther)
	return nil
}
