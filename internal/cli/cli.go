package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"github.com/alecthomas/kong"
	"golang.org/x/term"
)

// Exit codes.
const (
	done      = 0
	failed    = 1
	usedWrong = 2
)

// commands is the whole command line, as kong reads it.
type commands struct {
	Shop string `help:"Folder of the shop." env:"MIDCASE_SHOP" placeholder:"DIR" type:"path"`

	Demo      demoCmd      `cmd:"" help:"Make the invented demo shop if it is missing, serve it and open the browser."`
	Serve     serveCmd     `cmd:"" help:"Serve a shop to the browser."`
	Setup     setupCmd     `cmd:"" help:"Set country, base currency and name of a new shop."`
	Rates     ratesCmd     `cmd:"" help:"Exchange rates: list them, add one or a file."`
	Appraise  appraiseCmd  `cmd:"" help:"Form the opinion on a watch: date, parts, condition, value, what to pay."`
	Report    reportCmd    `cmd:"" help:"Write a paper on a watch without a number: report, valuation, listing, identification sheet, timing record, invoice or note."`
	Publish   publishCmd   `cmd:"" help:"Write the pages for others: a static site of what is for sale, with every fault, in four languages, with feeds."`
	Listing   listingCmd   `cmd:"" help:"What a buyer is told of a watch, with every fault: page, catalogue, message, post or talk sheet, in four languages."`
	Documents documentsCmd `cmd:"" help:"Numbered papers of the shop: issue, list, print again."`
	Counter   counterCmd   `cmd:"" help:"Answer an offer over the counter from one line: year, value, the most to pay, what to look at first."`
	Deal      dealCmd      `cmd:"" help:"Compare the routes to sell a watch: which should earn most, and the highest price to pay."`
	Ladder    ladderCmd    `cmd:"" help:"What to ask for a watch, how long it will take to sell, when to cut the price."`
	Stock     stockCmd     `cmd:"" help:"Buy, consign, repair, reserve, sell and refund watches; what the whole stock is worth."`
	Ledger    ledgerCmd    `cmd:"" help:"The shop's money: balances, journal, stock book, VAT figures, profit."`
	Clients   clientsCmd   `cmd:"" help:"Clients and what they want: list, add, match, import, export, erase."`
	Calendar  calendarCmd  `cmd:"" help:"What falls due: holds, memo returns, reservations and promises."`
	People    peopleCmd    `cmd:"" help:"Who may sign in."`
	Watch     watchCmd     `cmd:"" help:"List, show and add watches."`
	Evidence  evidenceCmd  `cmd:"" help:"Add evidence to a watch, or withdraw it."`
	Read      readCmd      `cmd:"" help:"Read what people have written and propose what to record; nothing is recorded."`
	Import    importCmd    `cmd:"" help:"Import sales, stock or clients from a file, as one batch that can be undone."`
	Batches   batchesCmd   `cmd:"" help:"What was imported: list, show, undo."`
	Sales     salesCmd     `cmd:"" help:"Past sales: import, check, list, export."`
	Market    marketCmd    `cmd:"" help:"Price model: fit, value, index, premium."`
	Timing    timingCmd    `cmd:"" help:"Rate, beat error and amplitude from the sound of a movement."`
	Photo     photoCmd     `cmd:"" help:"Pictures: measure, judge lume, overlay dials, prepare for a listing."`
	Book      bookCmd      `cmd:"" help:"The reference book: check it, compare two references."`
	Example   exampleCmd   `cmd:"" help:"Watches seen elsewhere, from which the book learns: add, list, import, withdraw."`
	Terms     termsCmd     `cmd:"" help:"Terms for findings, with their definitions."`
	Check     checkCmd     `cmd:"" help:"Read everything the shop keeps and list what is damaged or missing. Nothing is changed."`
	Backup    backupCmd    `cmd:"" help:"Copy the whole shop to a folder or to S3 storage, while it is in use."`
	Restore   restoreCmd   `cmd:"" help:"Restore a shop from a backup into a new folder, and check it."`
	Verify    verifyCmd    `cmd:"" help:"Tell whether a paper is as it was issued; needs no shop."`
	Clock     clockCmd     `cmd:"" help:"How this machine's clock stands to what was recorded."`
	Log       logCmd       `cmd:"" help:"The evidence log: prove that nothing was changed or lost."`

	Completion completionCmd `cmd:"" help:"Print a completion script for a shell."`
	Version    versionCmd    `cmd:"" help:"Print the version."`
	API        apiCmd        `cmd:"" name:"api" help:"The API for other programs."`
	Licences   licencesCmd   `cmd:"" help:"Third-party code in the program and its licences."`
}

// app is what commands run with.
type app struct {
	ctx     context.Context
	in      io.Reader
	out     io.Writer
	err     io.Writer
	now     func() time.Time
	shop    string
	command string // its words, such as "people add"
	kong    *kong.Kong
	held    []*opened // shops to close when the command has run
	colour  bool      // standard output is a terminal
	live    bool      // standard error is a terminal
}

// quit is how kong's own exits (help, version) leave without ending the process.
type quit struct{ code int }

// Main runs one command and returns the exit code.
func Main(args []string, in io.Reader, out, errOut io.Writer) int {
	return runAt(time.Now, args, in, out, errOut)
}

// runAt runs one command by a clock of the caller's.
func runAt(now func() time.Time, args []string, in io.Reader, out, errOut io.Writer) (code int) {
	defer func() {
		switch q := recover().(type) {
		case nil:
		case quit:
			code = q.code
		default:
			panic(q)
		}
	}()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	a := &app{ctx: ctx, in: in, out: out, err: errOut, now: now, colour: isTerminal(out), live: isTerminal(errOut)}
	return a.run(args)
}

func (a *app) run(args []string) int {
	var c commands
	k, err := kong.New(&c, append(a.needs(),
		kong.Name("midcase"),
		kong.Description("The workbench of a dealer in vintage mechanical watches: evidence in, opinion out."),
		kong.Writers(a.out, a.err),
		kong.Exit(func(code int) { panic(quit{code}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)...)
	if err != nil {
		fmt.Fprintln(a.err, "midcase:", err)
		return failed
	}
	a.kong = k
	parsed, err := k.Parse(args)
	if err != nil {
		return a.usedWrong(err)
	}
	a.shop, a.command = c.Shop, words(parsed.Command())
	defer a.release()
	if err := parsed.Run(a); err != nil {
		fmt.Fprintln(a.err, "midcase:", inWords(err))
		var m misuse
		if errors.As(err, &m) {
			return usedWrong
		}
		return failed
	}
	return done
}

// usedWrong says what was wrong with the command line and where its help is.
func (a *app) usedWrong(err error) int {
	command := "midcase"
	var p *kong.ParseError
	if errors.As(err, &p) && p.Context != nil {
		if c := p.Context.Command(); c != "" {
			command += " " + words(c)
		}
	}
	fmt.Fprintln(a.err, "midcase:", err)
	fmt.Fprintf(a.err, "For help: %s --help\n", command)
	return usedWrong
}

// words are the names of a command without its arguments.
func words(command string) string {
	var out []string
	for _, w := range strings.Fields(command) {
		if !strings.ContainsAny(w, "<[.") {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd())) && os.Getenv("NO_COLOR") == ""
}

type versionCmd struct{}

// Version is set at build time by -ldflags; builds from a checkout say so.
var Version = "0.1.0"

func (versionCmd) Run(a *app) error {
	revision := ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				revision = " (" + s.Value[:12] + ")"
			}
		}
	}
	_, err := fmt.Fprintf(a.out, "midcase %s%s\n", Version, revision)
	return err
}
