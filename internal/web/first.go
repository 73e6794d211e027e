package web

import (
	"errors"
	"net/http"

	"midcase/internal/shop/staff"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/signin"
)

// firstForm lets the first person in, where the shop is served to other machines before it has people.
type firstForm struct {
	Code     string `form:"code,needed" label:"Code" hint:"printed where the shop was started" auto:"one-time-code"`
	Name     string `form:"name,needed" label:"Your name" hint:"under which you sign in and record" auto:"username"`
	Password string `form:"password,needed" label:"Password" kind:"password" hint:"at least 12 characters, such as four words" auto:"new-password"`
}

var firstPerson = form.Define[firstForm]("first person")

// first answers where nobody may sign in yet and the shop was started with a code.
func (g *gate) first(w http.ResponseWriter, r *http.Request) error {
	if r.URL.Path != "/first" {
		http.Redirect(w, r, "/first", http.StatusSeeOther)
		return nil
	}
	if r.Method != http.MethodPost {
		return g.showFirst(w, r, &firstPerson.Of(r.Context(), firstForm{}).View, http.StatusOK)
	}
	f, err := firstPerson.Read(r, firstForm{})
	if err != nil {
		return err
	}
	if !f.OK() {
		return g.showFirst(w, r, &f.View, http.StatusUnprocessableEntity)
	}
	err = g.shop.Staff.First(r.Context(), g.opt.FirstCode, f.V.Code, f.V.Name, r.PostFormValue("password"), g.address(r))
	status := http.StatusUnprocessableEntity
	switch says := doorSays(err); {
	case err == nil:
		http.Redirect(w, r, "/sign-in", http.StatusSeeOther)
		return nil
	case errors.Is(err, staff.ErrCode):
		f.Wrong(&f.V.Code, "This is not the code. Enter the one that was printed when the shop was started.")
	case says != "":
		f.Wrong(&f.V.Code, says)
		status = http.StatusTooManyRequests
	case !f.Refused(err, nil):
		return err
	}
	return g.showFirst(w, r, &f.View, status)
}

func (g *gate) showFirst(w http.ResponseWriter, r *http.Request, f *form.View, status int) error {
	w.WriteHeader(status)
	return signin.First(g.frame("", "The first person"), f).Render(r.Context(), w)
}
