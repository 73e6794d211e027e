package web

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/pictures"
	"midcase/photo"
	"midcase/tables"
)

// contactSheets take many pictures at once and sort them before anything is kept.
type contactSheets struct {
	*site
	mu   sync.Mutex
	all  map[string]*pictureDrop
	read sync.Mutex // one picture is decoded at a time
}

func (s *contactSheets) routes(mux *http.ServeMux) {
	mux.Handle("GET /contact-sheets", s.page(s.empty))
	mux.Handle("POST /contact-sheets", s.page(s.take))
	mux.Handle("GET /contact-sheets/{sheet}", s.page(s.look))
	mux.Handle("POST /contact-sheets/{sheet}", s.page(s.sent))
	mux.Handle("GET /contact-sheets/{sheet}/{n}", s.page(s.small))
}

// pictureDrop is pictures between being dropped and being kept: on disk, for the one who sent them, for a while.
type pictureDrop struct {
	mu     sync.Mutex
	by     string
	at     time.Time
	dir    string
	shots  []droppedShot
	broken []string
}

// read are the pictures read so far; more may come while they are looked at.
func (d *pictureDrop) read() []droppedShot {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.shots)
}

type droppedShot struct {
	intake.Shot
	name, file string
}

// mostShots is how many pictures one sheet takes.
const mostShots = 5000

func (s *contactSheets) empty(w http.ResponseWriter, r *http.Request) error {
	return pictures.Page(pictures.Data{Frame: s.frame("stock", "Pictures")}).Render(r.Context(), w)
}

// take adds pictures to a new sheet, or to the one named.
func (s *contactSheets) take(w http.ResponseWriter, r *http.Request) error {
	token := r.FormValue("sheet")
	d, ok := s.find(r, token)
	if !ok {
		var err error
		if token, d, err = s.open(r); err != nil {
			return err
		}
	}
	n := 0
	if r.MultipartForm != nil {
		for _, h := range r.MultipartForm.File["pictures"] {
			n++
			if err := s.add(r.Context(), d, h); err != nil {
				return err
			}
		}
	}
	if n == 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return pictures.Page(pictures.Data{Frame: s.frame("stock", "Pictures"),
			Problem: "No picture was chosen."}).Render(r.Context(), w)
	}
	if strings.Contains(r.Header.Get("Accept"), "application/json") {
		(&api{s.site}).json(func(*http.Request) (any, error) {
			d.mu.Lock()
			defer d.mu.Unlock()
			return map[string]any{"sheet": token, "read": len(d.shots), "not_read": d.broken}, nil
		}).ServeHTTP(w, r)
		return nil
	}
	http.Redirect(w, r, "/contact-sheets/"+token, http.StatusSeeOther)
	return nil
}

// find is the sheet of a token, for the one who opened it.
func (s *contactSheets) find(r *http.Request, token string) (*pictureDrop, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d, ok := s.all[token]
	if !ok || d.by != s.user(r.Context()) {
		return nil, false
	}
	d.at = s.shop.Now()
	return d, true
}

// open makes a sheet and forgets those that nobody has looked at for a while.
func (s *contactSheets) open(r *http.Request) (string, *pictureDrop, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for token, d := range s.all {
		if s.shop.Now().Sub(d.at) > longestHeld {
			_ = os.RemoveAll(d.dir)
			delete(s.all, token)
		}
	}
	dir, err := os.MkdirTemp("", "midcase-pictures-")
	if err != nil {
		return "", nil, fmt.Errorf("pictures: %w", err)
	}
	if s.all == nil {
		s.all = map[string]*pictureDrop{}
	}
	token, d := rand.Text(), &pictureDrop{by: s.user(r.Context()), at: s.shop.Now(), dir: dir}
	s.all[token] = d
	go s.shop.Intake.LearnLooks(context.WithoutCancel(r.Context()))
	return token, d, nil
}

// add reads one picture into a sheet. What cannot be read is named on the sheet and stops nothing.
func (s *contactSheets) add(ctx context.Context, d *pictureDrop, h *multipart.FileHeader) error {
	f, err := h.Open()
	if err != nil {
		return err
	}
	defer f.Close()
	s.read.Lock()
	defer s.read.Unlock()
	b, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	name := filepath.Base(h.Filename)
	shot, err := s.shop.Intake.LookAt(ctx, b)
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case err != nil && ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		d.broken = append(d.broken, name+": "+err.Error())
		return nil
	case len(d.shots) >= mostShots:
		d.broken = append(d.broken, fmt.Sprintf("%s: the sheet has %d pictures already", name, mostShots))
		return nil
	}
	file := filepath.Join(d.dir, strconv.Itoa(len(d.shots)))
	if err := os.WriteFile(file, b, 0o600); err != nil {
		return fmt.Errorf("pictures: %w", err)
	}
	d.shots = append(d.shots, droppedShot{shot, name, file})
	return nil
}

func (s *contactSheets) small(w http.ResponseWriter, r *http.Request) error {
	d, ok := s.find(r, r.PathValue("sheet"))
	n, err := strconv.Atoi(r.PathValue("n"))
	if !ok || err != nil || n < 0 || n >= len(d.read()) {
		return fmt.Errorf("picture: %w", shop.ErrNotFound)
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Header().Set("Cache-Control", "private, max-age=1800")
	_, err = w.Write(d.read()[n].Small)
	return err
}

var errSheetGone = shop.NotFound("these pictures were kept already, or half an hour is over; drop them again")

func (s *contactSheets) look(w http.ResponseWriter, r *http.Request) error {
	d, ok := s.find(r, r.PathValue("sheet"))
	if !ok {
		return errSheetGone
	}
	model, own, err := s.shop.Intake.ViewModel(r.Context())
	if err != nil {
		return err
	}
	return s.show(w, r, d, s.proposed(d, model), own, http.StatusOK)
}

// proposed sorts the pictures of a sheet into watches.
func (s *contactSheets) proposed(d *pictureDrop, model *photo.ViewModel) []pictures.Group {
	all := d.read()
	shots := make([]photo.Shot, len(all))
	for i, x := range all {
		shots[i].At = x.Info.At
		shots[i].View, shots[i].Sure = model.Of(x.Look)
	}
	var out []pictures.Group
	for i, g := range photo.GroupShots(shots) {
		for len(out) <= g {
			out = append(out, pictures.Group{N: len(out) + 1})
		}
		same := repeats(all, i)
		out[g].Shots = append(out[g].Shots, pictures.Shot{N: i, Name: all[i].name, View: shots[i].View, Sure: shots[i].Sure,
			Same: same, Keep: !strings.HasPrefix(same, "the same file")})
	}
	for i := range out {
		slices.SortStableFunc(out[i].Shots, func(a, b pictures.Shot) int {
			return all[a.N].Info.At.Compare(all[b.N].Info.At)
		})
		out[i].When = between(all, out[i].Shots)
	}
	return out
}

// nearlySame is in how many signs of 64 two pictures of one sheet may differ to be called much alike: half of what may
// part two files of one picture, since the pictures of one sitting are alike anyway.
const nearlySame = photo.AlikeWithin / 2

// repeats says of which earlier picture one is a repeat.
func repeats(all []droppedShot, i int) string {
	for _, x := range all[:i] {
		switch {
		case x.SHA == all[i].SHA:
			return "the same file as " + x.name
		case x.Like.Apart(all[i].Like) <= nearlySame:
			return "much like " + x.name
		}
	}
	return ""
}

// between says when the pictures of a group were taken.
func between(all []droppedShot, shots []pictures.Shot) string {
	first, last := all[shots[0].N].Info.At, all[shots[len(shots)-1].N].Info.At
	switch {
	case first.IsZero() || last.IsZero():
		return ""
	case last.Sub(first) < time.Minute:
		return first.Format("2006-01-02 15:04")
	}
	return first.Format("2006-01-02 15:04") + "–" + last.Format("15:04")
}

func (s *contactSheets) show(w http.ResponseWriter, r *http.Request, d *pictureDrop, groups []pictures.Group, own,
	status int) error {
	stock, err := s.shop.Desk.Briefs(r.Context(), shop.Filter{Limit: 2000})
	if err != nil {
		return err
	}
	page := pictures.Sheet{Frame: s.frame("stock", "Contact sheet"), Token: r.PathValue("sheet"), Groups: groups, Own: own,
		Broken: d.broken, Stock: watchesOf(stock)}
	for _, g := range groups {
		if g.Problem != "" {
			page.Wrong++
		}
	}
	w.WriteHeader(status)
	return pictures.SheetPage(page).Render(r.Context(), w)
}

func watchesOf(all []desk.Brief) []shop.Watch {
	out := make([]shop.Watch, len(all))
	for i, b := range all {
		out[i] = b.Watch
	}
	return out
}

// sent groups the pictures as they were numbered, or keeps them.
func (s *contactSheets) sent(w http.ResponseWriter, r *http.Request) error {
	d, ok := s.find(r, r.PathValue("sheet"))
	if !ok {
		return errSheetGone
	}
	groups := s.numbered(r, d)
	if r.PostFormValue("do") != "keep" {
		return s.show(w, r, d, groups, 0, http.StatusOK)
	}
	targets := make([]target, len(groups))
	wrong := false
	for i := range groups {
		targets[i], groups[i].Problem = s.target(r.Context(), groups[i])
		wrong = wrong || groups[i].Problem != ""
	}
	if wrong {
		return s.show(w, r, d, groups, 0, http.StatusUnprocessableEntity)
	}
	var done pictures.Done
	for i, g := range groups {
		kept, err := s.keep(r, d, g, targets[i])
		if err != nil {
			return err
		}
		if kept.Added+kept.Already > 0 {
			done.Files = append(done.Files, kept)
		}
	}
	s.mu.Lock()
	delete(s.all, r.PathValue("sheet"))
	s.mu.Unlock()
	_ = os.RemoveAll(d.dir)
	done.Frame = s.frame("stock", "Pictures kept")
	return pictures.DonePage(done).Render(r.Context(), w)
}

// numbered are the groups as the form numbers them.
func (s *contactSheets) numbered(r *http.Request, d *pictureDrop) []pictures.Group {
	by, all := map[int]*pictures.Group{}, d.read()
	for i, x := range all {
		n, err := strconv.Atoi(strings.TrimSpace(r.PostFormValue(fmt.Sprintf("group.%d", i))))
		if err != nil || n < 1 {
			n = 1
		}
		if by[n] == nil {
			by[n] = &pictures.Group{N: n, Watch: strings.TrimSpace(r.PostFormValue(fmt.Sprintf("watch.%d", n)))}
		}
		view := r.PostFormValue(fmt.Sprintf("view.%d", i))
		if !slices.Contains(evidence.PhotoViews(), view) {
			view = "detail"
		}
		by[n].Shots = append(by[n].Shots, pictures.Shot{N: i, Name: x.name, View: view, Chosen: true, Same: repeats(all, i),
			Keep: slices.Contains(r.PostForm["keep"], strconv.Itoa(i))})
	}
	var out []pictures.Group
	for _, g := range by {
		g.When = between(all, g.Shots)
		out = append(out, *g)
	}
	slices.SortFunc(out, func(a, b pictures.Group) int { return a.N - b.N })
	return out
}

// target is the watch that a group is of: one on file, or one to be taken in.
type target struct {
	watch shop.Watch
	new   bool
	none  bool // no picture of the group is kept
}

func (s *contactSheets) target(ctx context.Context, g pictures.Group) (target, string) {
	if !slices.ContainsFunc(g.Shots, func(x pictures.Shot) bool { return x.Keep }) {
		return target{none: true}, ""
	}
	if g.Watch == "" {
		return target{}, "Enter which watch these are of, or clear “keep” on each."
	}
	w, err := s.shop.Find(ctx, g.Watch)
	if err == nil {
		return target{watch: w}, ""
	}
	maker, reference := tables.SplitWatch(g.Watch)
	if m, ref, ok := s.shop.Book(ctx).Reference(maker, reference); ok {
		maker, reference = m.Name, ref.ID
	}
	if maker == "" || reference == "" {
		return target{}, "“" + g.Watch + "” is no file of ours. Enter a file number, or maker and reference for a new file."
	}
	return target{watch: shop.Watch{Maker: maker, Reference: reference}, new: true}, ""
}

// keep records the pictures of a group with their watch.
func (s *contactSheets) keep(r *http.Request, d *pictureDrop, g pictures.Group, to target) (pictures.Kept, error) {
	ctx, out, all := r.Context(), pictures.Kept{Watch: to.watch, New: to.new}, d.read()
	if to.none {
		return out, nil
	}
	if to.new {
		var err error
		if out.Watch, err = s.shop.Intake.TakeIn(ctx, intake.Arrival{Maker: to.watch.Maker, Reference: to.watch.Reference},
			s.who(r)); err != nil {
			return out, err
		}
	}
	for _, x := range g.Shots {
		if !x.Keep {
			continue
		}
		has, err := s.shop.Intake.HasPicture(ctx, out.Watch.ID, all[x.N].SHA)
		if err != nil {
			return out, err
		}
		if has {
			out.Already++
			continue
		}
		f, err := os.Open(all[x.N].file)
		if err != nil {
			return out, fmt.Errorf("pictures: %w", err)
		}
		_, err = s.shop.Intake.AddPhoto(ctx, out.Watch.ID, x.View, "", f, s.who(r))
		if cerr := f.Close(); err == nil {
			err = cerr
		}
		if err != nil {
			return out, err
		}
		out.Added++
	}
	return out, nil
}
