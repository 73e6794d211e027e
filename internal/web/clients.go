package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/clients"
	"midcase/internal/web/pages/wording"
	"midcase/say"
)

// clientPages hold the records of clients, what they own and want, and whom a watch would suit.
type clientPages struct{ *site }

func (s *clientPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /clients", s.page(s.clientsPage))
	mux.Handle("GET /clients.vcf", s.page(s.clientCards))
	mux.Handle("GET /clients/new", s.page(s.newClientPage))
	mux.Handle("POST /clients/new", s.page(s.saveClient))
	mux.Handle("GET /clients/{id}", s.page(s.clientPage))
	mux.Handle("GET /clients/{id}/change", s.page(s.changeClientPage))
	mux.Handle("POST /clients/{id}/change", s.page(s.saveClient))
	mux.Handle("GET /clients/{id}/card.vcf", s.page(s.clientCard))
	mux.Handle("GET /clients/{id}/kept.json", s.page(s.clientKept))
	mux.Handle("GET /clients/{id}/erase", s.page(s.erasePage))
	mux.Handle("POST /clients/{id}/erase", s.page(s.erase))
	mux.Handle("POST /clients/{id}/redact", s.page(s.redact))
	mux.Handle("POST /clients/{id}/owns", s.page(s.addOwned))
	mux.Handle("POST /clients/{id}/owns/end", s.page(s.endOwned))

	mux.Handle("GET /clients/{id}/wants/new", s.page(s.wantPage))
	mux.Handle("POST /clients/{id}/wants/new", s.page(s.saveWant))
	mux.Handle("GET /clients/{id}/wants/{n}", s.page(s.wantPage))
	mux.Handle("POST /clients/{id}/wants/{n}", s.page(s.saveWant))
	mux.Handle("POST /clients/{id}/wants/{n}/end", s.page(s.endWant))

	in := &clientFiles{site: s.site}
	mux.Handle("GET /client-files", s.page(in.choose))
	mux.Handle("POST /client-files", s.page(in.take))
	mux.Handle("GET /client-files/{token}", s.page(in.look))
	mux.Handle("POST /client-files/{token}", s.page(in.write))

	mux.Handle("GET /watches/{id}/matches", s.page(s.matchesPage))
	mux.Handle("POST /watches/{id}/matches", s.page(s.recordShowing))
	mux.Handle("POST /watches/{id}/private", s.page(s.privateFirst))
}

func (s *clientPages) clientsPage(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.shop.People.Lines(r.Context(), r.FormValue("q"))
	if err != nil {
		return err
	}
	d := clients.List{Frame: s.frame("clients", "Clients"), Text: r.FormValue("q"), Found: len(rows), All: len(rows),
		Now: s.shop.Now(), Page: 1, Pages: (len(rows) + clients.PageRows - 1) / clients.PageRows}
	if d.Text != "" && len(rows) == 0 {
		all, err := s.shop.People.All(r.Context())
		if err != nil {
			return err
		}
		d.All = len(all)
	}
	if n, err := strconv.Atoi(r.FormValue("page")); err == nil && n > 1 {
		d.Page = min(n, max(1, d.Pages))
	}
	first := min(len(rows), (d.Page-1)*clients.PageRows)
	d.Rows = rows[first:min(len(rows), first+clients.PageRows)]
	if r.FormValue("erased") != "" {
		d.Notice = append([]string{"Erased. Entries of the ledger and steps of watches stay without the name."},
			people.ErasureCautions()...)
	}
	if n := r.FormValue("added"); n != "" {
		d.Notice = append(d.Notice, fmt.Sprintf("Imported: %s new, %s merged, %s duplicates, %s kept out.", digits(n),
			digits(r.FormValue("merged")), digits(r.FormValue("duplicates")), digits(r.FormValue("rejected"))))
	}
	return clients.ListPage(d).Render(r.Context(), w)
}

// digits is a number of an address as a number, whatever stood there.
func digits(text string) string {
	n, err := strconv.Atoi(text)
	if err != nil {
		return "0"
	}
	return strconv.Itoa(n)
}

func (s *clientPages) clientCards(w http.ResponseWriter, r *http.Request) error {
	all, err := s.shop.People.All(r.Context())
	if err != nil {
		return err
	}
	return sendCards(w, "clients.vcf", all)
}

func (s *clientPages) clientCard(w http.ResponseWriter, r *http.Request) error {
	c, err := s.shop.People.Client(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	if !c.Erased.IsZero() {
		return fmt.Errorf("client %s was erased: %w", c.ID, shop.ErrNotFound)
	}
	return sendCards(w, c.ID+".vcf", []shop.Client{c})
}

func sendCards(w http.ResponseWriter, name string, all []shop.Client) error {
	private(w, "text/vcard; charset=utf-8", name)
	return people.WriteVCards(w, all)
}

// private heads an answer that is a file with data of people.
func private(w http.ResponseWriter, media, name string) {
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", name))
	w.Header().Set("Cache-Control", "no-store")
}

func (s *clientPages) clientKept(w http.ResponseWriter, r *http.Request) error {
	file, err := s.shop.People.Export(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	private(w, "application/json", file.Client.ID+".json")
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(file)
}

func (s *clientPages) clientPage(w http.ResponseWriter, r *http.Request) error {
	return s.showClient(w, r, clients.Person{})
}

// showClient fills the page in; what is told already stays.
func (s *clientPages) showClient(w http.ResponseWriter, r *http.Request, d clients.Person) error {
	ctx := r.Context()
	c, err := s.shop.People.Client(ctx, r.PathValue("id"))
	if err != nil {
		return err
	}
	title := c.Name
	if !c.Erased.IsZero() {
		title = "Erased client"
	}
	d.Frame, d.Client, d.Now, d.Watches = s.frame("clients", title), c, s.shop.Now(), map[shop.WatchID]shop.Watch{}
	if c.Erased.IsZero() {
		if d.Matches, err = s.shop.People.MatchClient(ctx, c); err != nil {
			return err
		}
		if d.Pictures, err = s.shop.Desk.Pictures(ctx); err != nil {
			return err
		}
	}
	if d.Showings, err = s.shop.People.Showings(ctx, "", c.ID); err != nil {
		return err
	}
	if d.Bought, err = s.shop.People.BoughtBy(ctx, c.ID); err != nil {
		return err
	}
	if d.Links, err = s.shop.People.Links(ctx, "", c.ID); err != nil {
		return err
	}
	if d.Accesses, err = s.shop.People.Accesses(ctx, c.ID); err != nil {
		return err
	}
	slices.Reverse(d.Accesses)
	if err := s.nameWatches(ctx, &d); err != nil {
		return err
	}
	if d.Notice = clientNotice(r, d); d.Owned == nil {
		d.Owned = &owning.Of(ctx, ownedForm{}).View
	}
	return clients.PersonPage(d).Render(ctx, w)
}

// nameWatches reads the watches that the page names, and of which the client was the
// first to see.
func (s *clientPages) nameWatches(ctx context.Context, d *clients.Person) error {
	d.First = map[shop.WatchID]bool{}
	for _, v := range d.Showings {
		if _, ok := d.Watches[v.Watch]; ok {
			continue
		}
		x, err := s.shop.Watch(ctx, v.Watch)
		if err != nil {
			return err
		}
		d.Watches[v.Watch] = x
		first, ok, err := s.shop.People.FirstToSee(ctx, v.Watch)
		if err != nil {
			return err
		}
		d.First[v.Watch] = ok && first.Client == d.Client.ID
	}
	for _, l := range d.Links {
		if _, ok := d.Watches[l.Watch]; ok {
			continue
		}
		x, err := s.shop.Watch(ctx, l.Watch)
		if err != nil {
			return err
		}
		d.Watches[l.Watch] = x
	}
	for i, m := range d.Matches {
		if _, ok := d.Watches[m.Watch]; ok || i >= 25 {
			continue
		}
		x, err := s.shop.Watch(ctx, m.Watch)
		if err != nil {
			return err
		}
		d.Watches[m.Watch] = x
	}
	return nil
}

// clientNotice says what was just done, and what follows from it.
func clientNotice(r *http.Request, d clients.Person) string {
	switch r.FormValue("done") {
	case "added":
		return "Saved. Next: what they want."
	case "changed":
		return "Saved."
	case "want":
		best := ""
		if len(d.Matches) > 0 {
			best = d.Matches[0].Title
		}
		return wording.Say(r.Context(), say.That("clients.saved-matches", say.Count("n", len(d.Matches)),
			say.Name("best", best)))
	case "ended":
		return "Saved as no longer wanted. It stays on record."
	}
	return ""
}

func (s *clientPages) newClientPage(w http.ResponseWriter, r *http.Request) error {
	return s.clientForm(w, r, clientRecord.Of(r.Context(), clientOf(shop.Client{})), clients.Form{}, http.StatusOK)
}

func (s *clientPages) changeClientPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.standingClient(r)
	if err != nil {
		return err
	}
	return s.clientForm(w, r, clientRecord.Of(r.Context(), clientOf(c)), clients.Form{Client: c}, http.StatusOK)
}

// standingClient reads a client whose data were not erased.
func (s *clientPages) standingClient(r *http.Request) (shop.Client, error) {
	c, err := s.shop.People.Client(r.Context(), r.PathValue("id"))
	if err == nil && !c.Erased.IsZero() {
		err = fmt.Errorf("client %s was erased: %w", c.ID, shop.ErrNotFound)
	}
	return c, err
}

func (s *clientPages) clientForm(w http.ResponseWriter, r *http.Request, f *form.Form[clientForm], said clients.Form,
	status int) error {
	d := f.V.page(&f.View)
	d.Client, d.Conflict, d.Frame = said.Client, said.Conflict, s.frame("clients", "New client")
	if d.Client.ID != "" {
		d.Frame.Title = "Change " + d.Client.Name
	}
	w.WriteHeader(status)
	return clients.FormPage(d).Render(r.Context(), w)
}

// saveClient adds a client, or writes one over the version that the form was made of.
func (s *clientPages) saveClient(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	var c shop.Client
	var err error
	fresh := r.PathValue("id") == ""
	if !fresh {
		if c, err = s.standingClient(r); err != nil {
			return err
		}
	}
	start := clientOf(c)
	start.Version = stale
	f, err := clientRecord.Read(r, start)
	if err != nil {
		return err
	}
	d := clients.Form{Client: c}
	changed := f.V.over(c, &f.View, s.shop.Now(), s.user(ctx))
	if !f.OK() {
		return s.clientForm(w, r, f, d, http.StatusUnprocessableEntity)
	}
	done := "?done=changed"
	if fresh {
		changed.Version = 0
		changed, err = s.shop.People.Add(ctx, changed)
		done = "?done=added"
	} else {
		_, err = s.shop.People.Change(ctx, changed)
	}
	switch {
	case f.Refused(err, nil):
		return s.clientForm(w, r, f, d, http.StatusUnprocessableEntity)
	case errors.Is(err, shop.ErrConflict):
		d.Conflict = true
		f.V.Version = c.Version
		f.Show(&f.V.Version)
		return s.clientForm(w, r, f, d, http.StatusConflict)
	case err != nil:
		return err
	}
	http.Redirect(w, r, clients.Path(changed.ID)+done, http.StatusSeeOther)
	return nil
}

// stale is the version of a form that does not say of which version it was made.
const stale = -1

// version is the version of which a form was made; one that is none is stale.
func version(r *http.Request) int {
	n, err := strconv.Atoi(r.PostFormValue("version"))
	if err != nil {
		return stale
	}
	return n
}

// eraseForm confirms that a client's data go.
type eraseForm struct {
	Override string `form:"override,broad" label:"Reason to erase all the same" hint:"for example a court order; it is kept in the access log" want:"the reason, for example a court order"`
	Sure     bool   `form:"sure" label:"Erase these data for good"`
}

var erasing = form.Define[eraseForm]("erase a client")

func (s *clientPages) erasePage(w http.ResponseWriter, r *http.Request) error {
	return s.showErase(w, r, erasing.Of(r.Context(), eraseForm{}))
}

func (s *clientPages) showErase(w http.ResponseWriter, r *http.Request, f *form.Form[eraseForm]) error {
	if _, err := s.standingClient(r); err != nil {
		return err
	}
	file, against, err := s.shop.People.BeforeErasing(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	f.Field(&f.V.Sure).Label = "Erase the data of " + file.Client.Name + " for good"
	if f.Field(&f.V.Override).Needed = len(against) > 0; len(against) == 0 {
		f.Drop(&f.V.Override)
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return clients.ErasePage(clients.Erase{Frame: s.frame("clients", "Erase "+file.Client.Name), Client: file.Client,
		Entries: len(file.Entries), Steps: len(file.Movements), Showings: len(file.Showings), Against: against,
		Mentions: file.Mentions, Taken: number(r.FormValue("taken")),
		Form: &f.View}).Render(r.Context(), w)
}

// number reads a count out of an address; 0 where it is none.
func number(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0
	}
	return n
}

// redact takes away the words of other records that name the client.
func (s *clientPages) redact(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.standingClient(r); err != nil {
		return err
	}
	from := r.PostForm["from"]
	if len(from) == 0 {
		return shop.Refuse("redact", "from", "nothing ticked", "at least one record whose words go")
	}
	taken, _, err := s.shop.People.Redact(r.Context(), r.PathValue("id"), s.who(r), from...)
	if err != nil {
		return err
	}
	http.Redirect(w, r, fmt.Sprintf("/clients/%s/erase?taken=%d", r.PathValue("id"), taken), http.StatusSeeOther)
	return nil
}

func (s *clientPages) erase(w http.ResponseWriter, r *http.Request) error {
	f, err := erasing.Read(r, eraseForm{})
	if err != nil {
		return err
	}
	if !f.V.Sure {
		f.Wrong(&f.V.Sure, "Tick this box to erase.")
		return s.showErase(w, r, f)
	}
	_, err = s.shop.People.Erase(r.Context(), r.PathValue("id"), f.V.Override)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		f.Missing(&f.V.Override)
		return s.showErase(w, r, f)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/clients?erased=1", http.StatusSeeOther)
	return nil
}

// ownedForm is a watch that a client is known to have.
type ownedForm struct {
	Maker     string    `form:"maker" label:"Maker" id:"o-maker"`
	Reference string    `form:"reference" label:"Reference" id:"o-reference"`
	Since     edtf.Date `form:"since" label:"Since" hint:"for example 2019" id:"o-since"`
	Note      string    `form:"note" label:"Note" id:"o-note"`
}

var owning = form.Define[ownedForm]("a watch that a client owns")

func (s *clientPages) addOwned(w http.ResponseWriter, r *http.Request) error {
	f, err := owning.Read(r, ownedForm{})
	if err != nil {
		return err
	}
	if f.V == (ownedForm{Since: f.V.Since}) {
		f.Wrong(&f.V.Maker, "Enter the maker, the reference or a note.")
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return s.showClient(w, r, clients.Person{Owned: &f.View})
	}
	return s.changeOwned(w, r, func(c *shop.Client) error {
		c.Owns = append(slices.Clone(c.Owns), shop.Owned{Maker: f.V.Maker, Reference: f.V.Reference, Since: f.V.Since,
			Note: f.V.Note})
		return nil
	})
}

func (s *clientPages) endOwned(w http.ResponseWriter, r *http.Request) error {
	return s.changeOwned(w, r, func(c *shop.Client) error {
		n, err := strconv.Atoi(r.PostFormValue("n"))
		if err != nil || n < 0 || n >= len(c.Owns) {
			return fmt.Errorf("watch of the client: %w", shop.ErrNotFound)
		}
		c.Owns = slices.Delete(slices.Clone(c.Owns), n, n+1)
		return nil
	})
}

func (s *clientPages) changeOwned(w http.ResponseWriter, r *http.Request, change func(*shop.Client) error) error {
	c, err := s.standingClient(r)
	if err != nil {
		return err
	}
	c.Version = version(r)
	if err := change(&c); err != nil {
		return err
	}
	if _, err := s.shop.People.Change(r.Context(), c); err != nil {
		return err
	}
	http.Redirect(w, r, clients.Path(c.ID)+"?done=changed#owns", http.StatusSeeOther)
	return nil
}

// query is a path with a query.
func query(path string, pairs ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	return path + "?" + q.Encode()
}
