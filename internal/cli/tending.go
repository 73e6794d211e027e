package cli

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"midcase/internal/backup"
	"midcase/internal/check"
	"midcase/internal/document"
	"midcase/internal/shop/rights"
	"midcase/internal/store"
	"midcase/internal/web"
)

// tending looks after a shop while it is served: a light check at the start, backups at their time, and the
// write-ahead log moved into the database often. What somebody should know stands on every page.
type tending struct {
	app      *app
	shop     *opened
	log      *slog.Logger
	place    string // of backups; empty: none are made
	key      string // recipient of age
	every    time.Duration
	invented bool

	making sync.Mutex // a backup
	mu     sync.Mutex
	light  []string // of the check at the start
	behind string   // what is wrong with the clock
	failed string   // why the last backup was not made
	last   backup.Last

	noSheet bool // of the client key was ever printed
}

// moment is how often a tended shop is looked at.
const moment = time.Minute

// tend begins to look after a shop that is served; what it returns ends that, before the store is closed.
func (a *app) tend(s *opened, how serving, log *slog.Logger, opt *web.Options) (end func()) {
	t := &tending{app: a, shop: s, log: log, place: how.backupTo, key: how.backupKey, every: how.backupEvery,
		invented: how.invented}
	opt.Notices, opt.BackedUp = t.notices, t.backedUp
	opt.Care = web.Care{Check: t.checkAll, KeepBook: t.keepBook, BackUp: t.backUpTo, To: t.to, Sheet: t.sheet,
		SheetToPrint: t.sheetToPrint, ClockBehind: t.clockBehind, ClockIsRight: t.clockIsRight}
	ctx, stop := context.WithCancel(a.ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		t.run(ctx)
	}()
	return func() {
		stop()
		<-ended
	}
}

// run tends until the context ends.
func (t *tending) run(ctx context.Context) {
	t.start(ctx)
	tick := time.NewTicker(moment)
	defer tick.Stop()
	for {
		t.look(ctx)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// start makes the light check and compares the clock with what is on record.
func (t *tending) start(ctx context.Context) {
	var says []string
	if _, err := t.shop.keepBook(t.app, false); err != nil {
		t.warn(ctx, "the book's files were not kept as versions", err)
	}
	found, err := t.shop.store.CheckLight(ctx)
	if err != nil {
		t.warn(ctx, "the check at the start was not made", err)
	}
	found = append(found, t.bookFindings(ctx)...)
	if len(found) > 0 {
		says = append(says, fmt.Sprintf("Something the shop keeps is damaged: %s. Run “midcase check” and restore a "+
			"backup before you go on.", found[0].Says))
	}
	state, err := clockOf(ctx, t.shop.store, t.app.now())
	if err != nil {
		t.warn(ctx, "the clock was not compared with the records", err)
	} else if state.Latest != nil {
		says = append(says, state.aheadSays())
	}
	for _, s := range says {
		t.log.Warn(s)
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.light = says
}

// compareClock compares the clock with what it said at the last change.
func (t *tending) compareClock(ctx context.Context) {
	behind, err := store.ClockBehind(ctx, t.shop.store)
	if err != nil {
		t.warn(ctx, "the clock was not compared with the last change", err)
		return
	}
	says := ""
	if behind != nil {
		says = behind.Says()
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if says != "" && t.behind == "" {
		t.log.Warn(says)
	}
	t.behind = says
}

// clockIsRight takes the clock for right, as an owner says.
func (t *tending) clockIsRight(ctx context.Context, who string) error {
	if err := takeClock(ctx, t.shop.Shop, who); err != nil {
		return err
	}
	t.compareClock(ctx)
	return nil
}

// clockBehind reports whether somebody should say that the clock is right, or put it right.
func (t *tending) clockBehind() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.behind != ""
}

// bookFindings are what the book's own check finds.
func (t *tending) bookFindings(ctx context.Context) (out []store.Finding) {
	faults, err := t.shop.book.Check(ctx)
	if err != nil {
		t.warn(ctx, "the book was not checked", err)
	}
	for _, f := range faults {
		out = append(out, store.Finding{What: store.InBook, ID: f.File, Says: f.Says})
	}
	return out
}

// look makes a backup where it is time for one.
func (t *tending) look(ctx context.Context) {
	if err := store.Checkpoint(ctx, t.shop.store); err != nil {
		t.warn(ctx, "the write-ahead log was not moved", err)
	}
	t.compareClock(ctx)
	wanted, err := sheetWanted(ctx, t.shop)
	if err != nil {
		t.warn(ctx, "whether a recovery sheet was printed is not known", err)
	}
	last, err := backup.LastOf(ctx, t.shop.Shop.Shop)
	if err != nil {
		t.warn(ctx, "when the last backup was is not known", err)
		return
	}
	t.mu.Lock()
	t.last, t.noSheet = last, wanted
	t.mu.Unlock()
	if t.place == "" || t.app.now().Sub(last.At) < t.every {
		return
	}
	err = t.backUp(ctx)
	if err == nil {
		last, err = backup.LastOf(ctx, t.shop.Shop.Shop)
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last, t.failed = last, ""
	if err != nil && ctx.Err() == nil {
		t.failed = err.Error()
		t.log.Warn("no backup was made", "error", err)
	}
}

func (t *tending) backUp(ctx context.Context) error {
	_, err := t.backUpTo(ctx, t.place)
	return err
}

// to is where backups go, or went last.
func (t *tending) to(ctx context.Context) string {
	if t.place != "" {
		return t.place
	}
	last, err := backup.LastOf(ctx, t.shop.Shop.Shop)
	if err != nil {
		t.warn(ctx, "where the last backup went is not known", err)
	}
	return last.To
}

// backUpTo makes a backup, one at a time, and says what it has.
func (t *tending) backUpTo(ctx context.Context, to string) (says string, err error) {
	t.making.Lock()
	defer t.making.Unlock()
	if within(t.shop.dir, to) {
		return "", errors.New("a backup inside the shop's own folder is lost with it")
	}
	place, err := backup.At(to)
	if err != nil {
		return "", err
	}
	made, err := backup.Make(ctx, t.shop.source(), place, backup.Options{Recipient: t.key, Now: t.app.now(),
		Program: Version})
	if err != nil {
		return "", err
	}
	for _, name := range made.Damaged {
		t.log.Warn("damaged and not in the backup", "file", name)
	}
	if err := backup.Note(rights.With(ctx, ""), t.shop.Shop.Shop, to); err != nil {
		return "", err
	}
	last, err := backup.LastOf(ctx, t.shop.Shop.Shop)
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last, t.failed = last, ""
	says = fmt.Sprintf("Backup %s made: %s, %d of them new.", made.Snapshot, count(made.Files, "file"), made.NewFiles)
	if n := len(made.Damaged); n > 0 {
		says += fmt.Sprintf(" Damaged before and left out: %s.", strings.Join(made.Damaged, ", "))
	}
	return says, err
}

// within reports whether a place is a folder in another one.
func within(dir, place string) bool {
	if strings.Contains(place, "://") {
		return false
	}
	a, err1 := filepath.Abs(dir)
	b, err2 := filepath.Abs(place)
	if err1 != nil || err2 != nil {
		return false
	}
	rel, err := filepath.Rel(a, b)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// checkAll checks everything; what the check at the start found is forgotten for it.
func (t *tending) checkAll(ctx context.Context) ([]store.Finding, error) {
	found, err := check.All(rights.With(ctx, ""), check.Parts{Store: t.shop.store, Blobs: t.shop.blobs,
		Book: filepath.Join(t.shop.dir, bookFolder), Sealed: store.KeyLost(t.shop.store)})
	if err != nil {
		return nil, err
	}
	found = append(found, checkLogKey(t.shop.dir)...)
	t.start(ctx)
	return found, nil
}

// keepBook keeps files of the book that were edited by hand.
func (t *tending) keepBook(ctx context.Context) error {
	if _, err := t.shop.keepBook(t.app, true); err != nil {
		return err
	}
	t.start(ctx)
	return nil
}

func (t *tending) warn(ctx context.Context, what string, err error) {
	if ctx.Err() == nil {
		t.log.Warn(what, "error", err)
	}
}

// notices are what stands on every page.
func (t *tending) notices() []string {
	t.mu.Lock()
	defer t.mu.Unlock()
	out := append([]string{}, t.light...)
	switch {
	case store.Replaced(t.shop.store):
		out = append(out, "The database file was deleted or replaced while the shop was served. Nothing is recorded any "+
			"more: stop the program, put the file back or restore a backup, then start again.")
	case store.Full(t.shop.store):
		out = append(out, "The disk is full: everything can be read, nothing can be recorded. Free some space; if the "+
			"program was started on the full disk, start it again.")
	}
	if t.behind != "" {
		out = append(out, t.behind)
	}
	if t.failed != "" {
		out = append(out, "No backup was made: "+t.failed)
	}
	return out
}

// backedUp says on the first page when the last backup was made.
func (t *tending) backedUp() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.last.At.IsZero() {
		if t.invented && t.place == "" {
			return "" // the invented shop can be made again
		}
		return "No backup yet."
	}
	switch days := int(t.app.now().Sub(t.last.At) / (24 * time.Hour)); days {
	case 0:
		return "Last backup today."
	case 1:
		return "Last backup yesterday."
	default:
		return fmt.Sprintf("Last backup %d days ago.", days)
	}
}

// sheet is the recovery sheet for the key of the client data.
func (t *tending) sheet(ctx context.Context) (document.KeySheet, error) {
	one, err := printSheet(ctx, t.shop, t.app.now())
	if err == nil {
		t.mu.Lock()
		defer t.mu.Unlock()
		t.noSheet = false
	}
	return one, err
}

// sheetToPrint reports whether somebody should print the recovery sheet.
func (t *tending) sheetToPrint() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.noSheet && !t.invented
}
