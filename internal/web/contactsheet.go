package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
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

	restored bool // the sheets of before the program was started are there again
}

func (s *contactSheets) routes(mux *http.ServeMux) {
	mux.Handle("GET /contact-sheets", s.page(s.empty))
	mux.Handle("POST /contact-sheets", s.page(s.take))
	mux.Handle("POST /contact-sheets/known", s.page(s.known))
	mux.Handle("GET /contact-sheets/{sheet}", s.page(s.look))
	mux.Handle("POST /contact-sheets/{sheet}", s.page(s.sent))
	mux.Handle("GET /contact-sheets/{sheet}/{n}", s.page(s.small))
}

func (s *contactSheets) empty(w http.ResponseWriter, r *http.Request) error {
	return s.dropPage(w, r, "")
}

func (s *contactSheets) dropPage(w http.ResponseWriter, r *http.Request, problem string) error {
	if problem != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	d := pictures.Data{Frame: s.frame("stock", "Pictures"), Problem: problem}
	if token, drop := s.last(r); drop != nil {
		d.Waiting, d.Open = len(drop.waiting()), token
	}
	return pictures.Page(d).Render(r.Context(), w)
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
			if err := s.add(r.Context(), d, h, r.FormValue("file")); err != nil {
				return err
			}
		}
	}
	if n == 0 {
		return s.dropPage(w, r, "No picture was chosen.")
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

// known answers which files of a folder need not be sent: those on the sheet that the person has open, and those that
// were sorted before. Each is told by its name, size and day, as the browser knows them.
func (s *contactSheets) known(w http.ResponseWriter, r *http.Request) error {
	files := strings.Split(r.PostFormValue("files"), "\n")
	before, err := s.shop.Intake.SortedBefore(r.Context(), files)
	if err != nil {
		return err
	}
	answer := struct {
		Sheet  string `json:"sheet,omitempty"`
		On     []int  `json:"on_sheet"`
		Before []int  `json:"before"`
	}{On: []int{}, Before: []int{}}
	token, d := s.last(r)
	answer.Sheet = token
	for i, f := range files {
		switch {
		case d != nil && d.has(f):
			answer.On = append(answer.On, i)
		case before[i]:
			answer.Before = append(answer.Before, i)
		}
	}
	(&api{s.site}).json(func(*http.Request) (any, error) { return answer, nil }).ServeHTTP(w, r)
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

var errSheetGone = shop.NotFound("these pictures were kept already, or a day is over; drop them again")

func (s *contactSheets) look(w http.ResponseWriter, r *http.Request) error {
	d, ok := s.find(r, r.PathValue("sheet"))
	if !ok {
		return errSheetGone
	}
	model, own, err := s.shop.Intake.ViewModel(r.Context())
	if err != nil {
		return err
	}
	before, err := s.keptBefore(r.Context(), d)
	if err != nil {
		return err
	}
	return s.show(w, r, d, s.proposed(d, model, before), own, http.StatusOK)
}

// shownShots is from how many pictures on a page of a sheet ends; the next watches come once these are kept.
const shownShots = 200

// proposed sorts the pictures that wait on a sheet into watches, as many as go on a page.
func (s *contactSheets) proposed(d *pictureDrop, model *photo.ViewModel, before map[int]string) []pictures.Group {
	all, waiting := d.read(), d.waiting()
	shots := make([]photo.Shot, len(waiting))
	for i, at := range waiting {
		shots[i].At = all[at].Info.At
		shots[i].View, shots[i].Sure = model.Of(all[at].Look)
	}
	var out []pictures.Group
	for i, g := range photo.GroupShots(shots) {
		for len(out) <= g {
			out = append(out, pictures.Group{N: len(out) + 1})
		}
		out[g].Shots = append(out[g].Shots, pictures.Shot{N: waiting[i], Name: all[waiting[i]].name, View: shots[i].View,
			Sure: shots[i].Sure})
	}
	out = firstShots(out)
	for i := range out {
		for k := range out[i].Shots {
			x := &out[i].Shots[k]
			x.Same = cmp.Or(before[x.N], repeats(all, x.N))
			x.Keep = !strings.HasPrefix(x.Same, "the same file")
		}
		slices.SortStableFunc(out[i].Shots, func(a, b pictures.Shot) int {
			return all[a.N].Info.At.Compare(all[b.N].Info.At)
		})
		out[i].When = between(all, out[i].Shots)
	}
	return out
}

// firstShots are the groups that go on a page. One that is too large for a page is cut.
func firstShots(groups []pictures.Group) []pictures.Group {
	n := 0
	for i := range groups {
		groups[i].Shots = groups[i].Shots[:min(len(groups[i].Shots), 2*shownShots)]
		if n += len(groups[i].Shots); n >= shownShots {
			return groups[:i+1]
		}
	}
	return groups
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

// keptBefore says of the pictures that wait on a sheet which were kept before, with which watch.
func (s *contactSheets) keptBefore(ctx context.Context, d *pictureDrop) (map[int]string, error) {
	kept, err := s.shop.Intake.KeptPictures(ctx)
	if err != nil || len(kept) == 0 {
		return nil, err
	}
	all, out := d.read(), map[int]string{}
	for _, i := range d.waiting() {
		id, same, ok := kept.Repeated(all[i].Shot, nearlySame)
		if !ok {
			continue
		}
		w, err := s.shop.Find(ctx, string(id))
		if err != nil {
			continue // its file is gone
		}
		if same {
			out[i] = "the same file as one kept with " + w.Title
		} else {
			out[i] = "much like one kept with " + w.Title
		}
	}
	return out, nil
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
	d.mu.Lock()
	broken := slices.Clone(d.broken)
	d.mu.Unlock()
	page := pictures.Sheet{Frame: s.frame("stock", "Contact sheet"), Token: r.PathValue("sheet"), Groups: groups, Own: own,
		Broken: broken, Stock: watchesOf(stock), Waiting: len(d.waiting())}
	for _, g := range groups {
		page.Here += len(g.Shots)
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
	before, err := s.keptBefore(r.Context(), d)
	if err != nil {
		return err
	}
	groups := s.numbered(r, d, before)
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
	done, err := s.keepAll(r, d, groups, targets)
	if err != nil {
		return err
	}
	done.Frame, done.Waiting, done.Token = s.frame("stock", "Pictures kept"), len(d.waiting()), r.PathValue("sheet")
	if done.Waiting == 0 {
		if err := s.close(r.Context(), done.Token, d); err != nil {
			return err
		}
	}
	return pictures.DonePage(done).Render(r.Context(), w)
}

// keepAll keeps the pictures of all groups. What is kept is noted group by group, so that one that fails leaves only
// the rest on the sheet.
func (s *contactSheets) keepAll(r *http.Request, d *pictureDrop, groups []pictures.Group, targets []target) (
	done pictures.Done, err error) {
	var files []string
	defer func() { err = errors.Join(err, s.shop.Intake.NoteSorted(r.Context(), files)) }()
	for i, g := range groups {
		kept, err := s.keep(r, d, g, targets[i])
		if err != nil {
			return done, err
		}
		if kept.Added+kept.Already > 0 {
			done.Files = append(done.Files, kept)
		}
		var places []int
		for _, x := range g.Shots {
			places = append(places, x.N)
		}
		files = append(files, d.sorted(places)...)
	}
	return done, nil
}

// numbered are the groups as the form numbers them.
func (s *contactSheets) numbered(r *http.Request, d *pictureDrop, before map[int]string) []pictures.Group {
	by, all := map[int]*pictures.Group{}, d.read()
	for _, i := range d.waiting() {
		x := all[i]
		if !r.PostForm.Has(fmt.Sprintf("group.%d", i)) {
			continue // on a later page of the sheet
		}
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
		by[n].Shots = append(by[n].Shots, pictures.Shot{N: i, Name: x.name, View: view, Chosen: true,
			Same: cmp.Or(before[i], repeats(all, i)),
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
func (s *contactSheets) keep(r *http.Request, d *pictureDrop, g pictures.Group, to target) (
	out pictures.Kept, err error) {
	ctx, all := r.Context(), d.read()
	out = pictures.Kept{Watch: to.watch, New: to.new}
	if to.none {
		return out, nil
	}
	if to.new {
		if out.Watch, err = s.shop.Intake.TakeIn(ctx, intake.Arrival{Maker: to.watch.Maker, Reference: to.watch.Reference},
			s.who(r)); err != nil {
			return out, err
		}
	}
	var noted intake.KeptPictures
	defer func() { err = errors.Join(err, s.shop.Intake.NoteKept(ctx, noted)) }()
	for _, x := range g.Shots {
		if !x.Keep {
			continue
		}
		has, err := s.shop.Intake.HasPicture(ctx, out.Watch.ID, all[x.N].SHA)
		if err != nil {
			return out, err
		}
		of := intake.KeptOf(all[x.N].Shot, out.Watch.ID)
		if has {
			noted = append(noted, of)
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
		noted = append(noted, of)
		out.Added++
	}
	return out, nil
}
