package imports

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/people"
	"midcase/internal/shop/trade"
	"midcase/tables"
)

// Room brings files in. It is safe for concurrent use.
type Room struct {
	shop     *shop.Shop
	stores   shop.Stores
	people   *people.Room
	trade    *trade.Room
	accounts *accounts.Room
	intake   *intake.Room
}

// New opens the room of a shop.
func New(s *shop.Shop, p *people.Room, t *trade.Room, a *accounts.Room,
	in *intake.Room) *Room {
	return &Room{shop: s, stores: s.Stores(), people: p, trade: t, accounts: a, intake: in}
}

// File is a file to bring in.
type File struct {
	Name    string
	Data    []byte
	As      tables.Kind // sales, stock or clients
	Answers map[string]string

	// Written is told, while the file is brought in, how many of its records are written; it may be nil.
	Written func(done, of int)
}

// Preview is what a file was understood to say, and what bringing it in would do.
type Preview struct {
	tables.Reading
	Batch      shop.Batch        // as it would be kept
	Answers    map[string]string // with which it was read
	Remembered bool              // the answers are those of the last file of this shape
}

// Read tells what a file says and what Bring would add. Nothing is recorded.
func (r *Room) Read(ctx context.Context, f File) (Preview, error) {
	p, _, err := r.plan(ctx, f, "")
	return p, err
}

// Bring records what a file says as one batch, all of it or nothing. Rows that are on record already add nothing; a
// batch that would add nothing is not kept.
func (r *Room) Bring(ctx context.Context, f File, by string) (Preview, error) {
	p, step, err := r.plan(ctx, f, by)
	if err != nil || !p.Batch.Brings() {
		return p, err
	}
	p.Batch.At = r.shop.Now()
	step.Import.Batch = p.Batch
	if f.Written != nil {
		of := len(step.Import.Watches) + len(step.Import.Sales)
		step.Import.Written = func(n int) { f.Written(n, of) }
	}
	if _, err := r.stores.Steps.KeepStep(ctx, step); err != nil {
		return p, fmt.Errorf("import %s: %w", f.Name, err)
	}
	f.Answers = p.Answers
	if err := r.remember(ctx, f, p.Columns); err != nil {
		p.Batch.Says = append(p.Batch.Says,
			"The answers could not be kept for the next file like this one: "+err.Error())
	}
	return p, nil
}

// plan reads a file and makes the step that records it.
func (r *Room) plan(ctx context.Context, f File, by string) (Preview, shop.Step, error) {
	ctx = shop.Pin(ctx) // one state of the book for every row
	own, err := r.intake.Own(ctx)
	if err != nil {
		return Preview{}, shop.Step{}, err
	}
	opt := tables.Options{Book: r.shop.Book(ctx), Now: r.shop.Now(), Answers: f.Answers,
		Base: string(r.shop.Currency()), Own: own}
	reading, err := Understood(f.Data, f.As, opt)
	if bad := errors.Join(checkOdd(f.Answers), checkThere(f.Answers)); bad != nil && err == nil {
		return Preview{}, shop.Step{}, shop.Refuse("import "+f.Name, "answer", bad.Error(),
			"an answer to a question asked")
	}
	var before map[string]string
	if err == nil && len(f.Answers) == 0 {
		if before, err = r.remembered(ctx, f.As, reading.Columns); err == nil && before != nil {
			f.Answers, opt.Answers = before, before
			reading, err = Understood(f.Data, f.As, opt)
		}
	}
	if err != nil {
		return Preview{}, shop.Step{}, refused(f.Name, err)
	}
	sum := sha256.Sum256(f.Data)
	p := &planned{Room: r, file: f, by: by, reading: reading, step: shop.Step{Import: &shop.Import{}},
		settled: map[int]bool{}}
	p.batch = shop.Batch{ID: r.shop.NewID("b"), As: string(f.As), File: filepath.Base(f.Name),
		SHA256: hex.EncodeToString(sum[:]), By: by, At: r.shop.Now()}
	for _, k := range reading.KeptOut {
		p.out(k.Line, k.Field, k.Found, k.Reason)
	}
	p.waiting()
	switch f.As {
	case tables.Sales:
		err = p.sales(ctx)
	case tables.Stock:
		err = p.stock(ctx)
	case tables.Clients:
		err = p.clients(ctx)
	default:
		err = shop.Refuse("import "+f.Name, "as", string(f.As), "sales, stock or clients")
	}
	p.tellCells()
	return Preview{p.reading, p.batch, f.Answers, before != nil}, p.step, err
}

// refused is why a file is not read. Most reasons say what to do; that there is no table does not.
func refused(name string, err error) error {
	want := "a list of watches, sales or clients"
	if errors.Is(err, tables.ErrNoTable) {
		want = "a table in CSV, TSV or XLSX with a row of headers"
	}
	return shop.Refuse("import "+name, "file", strings.TrimPrefix(err.Error(), "tables: "), want)
}

// tellCells tells the cells that were left out of rows that came in from rows kept out.
func (p *planned) tellCells() {
	waits := map[int]bool{}
	for _, o := range p.batch.KeptOut {
		waits[o.Line] = waits[o.Line] || o.Waits
	}
	for i, o := range p.batch.KeptOut {
		p.batch.KeptOut[i].Cell = !o.Waits && (p.settled[o.Line] || waits[o.Line])
	}
}

// planned is the work on one file.
type planned struct {
	*Room
	file     File
	by       string
	reading  tables.Reading
	batch    shop.Batch
	step     shop.Step
	rows     []tables.Row // that can come in
	holder   *intake.Holder
	oddLines []int        // of rows that wait because something is odd about them
	settled  map[int]bool // lines that came in or were there already

	thereLines []int // of rows that wait because the shop has their watches otherwise
	again      bool  // this very file was brought in before
}

// waiting leaves out the rows that repeat another one of the file, and those about which a question is open.
func (p *planned) waiting() {
	open, again := map[int]tables.Question{}, map[int]bool{}
	for _, q := range p.reading.Questions {
		switch q.ID { // without an answer there is no consent, the cell stays out, the words stay a note
		case tables.AskConsent, tables.AskRange, tables.AskSeverity:
			continue
		}
		for _, line := range q.Lines {
			if _, ok := open[line]; !ok {
				open[line] = q
			}
		}
	}
	for _, x := range p.reading.Repeated {
		again[x.Line] = true
	}
	p.batch.Repeated = len(p.reading.Repeated)
	for _, row := range p.reading.Rows {
		q, waits := open[row.Line]
		switch {
		case again[row.Line]:
			p.settled[row.Line] = true
		case waits:
			p.batch.KeptOut = append(p.batch.KeptOut, shop.OutRow{Line: row.Line, Field: q.ID,
				Reason: "waits for an answer: " + q.About, Waits: true})
		default:
			p.rows = append(p.rows, row)
		}
	}
}

func (p *planned) out(line int, field, found, reason string) {
	p.batch.KeptOut = append(p.batch.KeptOut, shop.OutRow{Line: line, Field: field, Found: found, Reason: reason})
}

// says notes what came in but not whole.
func (p *planned) says(line int, format string, args ...any) {
	p.batch.Says = append(p.batch.Says, fmt.Sprintf("Line %d: ", line)+fmt.Sprintf(format, args...))
}

// where cites a row of the file.
func (p *planned) where(line int) string { return fmt.Sprintf("%s, row %d", p.batch.File, line) }

// Batches lists what was brought in, the latest first.
func (r *Room) Batches(ctx context.Context) ([]shop.Batch, error) {
	return r.stores.Batches.Batches(ctx, "")
}

// Batch is one batch.
func (r *Room) Batch(ctx context.Context, id string) (shop.Batch, error) {
	all, err := r.stores.Batches.Batches(ctx, id)
	if err != nil {
		return shop.Batch{}, err
	}
	if id == "" || len(all) == 0 {
		return shop.Batch{}, shop.NotFound(fmt.Sprintf("no batch %q", id))
	}
	return all[0], nil
}

// Guess is what a file most likely lists, by how much of it reads as each kind; empty where no table is found.
func (r *Room) Guess(ctx context.Context, name string, data []byte) tables.Kind {
	if people.IsCards(data) {
		return tables.Clients
	}
	best, bestScore := tables.Kind(""), 0.0
	data = tables.Head(data)
	for _, as := range []tables.Kind{tables.Sales, tables.Stock, tables.Clients} {
		got, err := tables.Read(data, as, tables.Options{Book: r.shop.Book(ctx), Now: r.shop.Now(), Rows: telltale})
		if err != nil || len(got.Rows) == 0 {
			continue
		}
		score := 0.0
		for _, c := range got.Columns {
			if c.Field != "" {
				score += c.Understood
			}
		}
		score *= float64(len(got.Rows)) / float64(len(got.Rows)+len(got.KeptOut))
		has := func(field string) bool {
			return slices.ContainsFunc(got.Columns, func(c tables.Column) bool { return c.Field == field })
		}
		tells := slices.ContainsFunc(got.Columns, func(c tables.Column) bool { return telling[as][c.Field] })
		if as == tables.Stock && has("sold") && !has("cost") && !has("bought") {
			tells = false // all that is sold and nothing that was bought is a list of sales
		}
		if tells {
			score += 2
		}
		if score > bestScore {
			best, bestScore = as, score
		}
	}
	return best
}

// telltale is how many rows of a workbook tell what it lists.
const telltale = 400

// telling are fields that only one kind of table has.
var telling = map[tables.Kind]map[string]bool{
	tables.Sales:   {"hammer": true, "all-in": true, "venue": true, "price": true},
	tables.Stock:   {"cost": true, "bought": true, "asking": true},
	tables.Clients: {"email": true, "consent": true, "phone": true},
}
