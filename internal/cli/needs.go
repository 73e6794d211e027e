package cli

import (
	"reflect"

	"github.com/alecthomas/kong"
	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// A command names what it works on by the parameters of its Run: kong opens the shop, finds
// the watch or the client, reads the terms, and only then runs it. The shop comes first in
// the list, so that a shop that is not there is said as it is.

// making is the shop, made where there is none.
type making struct{ *opened }

// needs are what a parameter of Run may be.
func (a *app) needs() []kong.Option {
	return []kong.Option{
		kong.Bind(a),
		kong.BindSingletonProvider(func() (*opened, error) { return a.hold(a.open(false)) }),
		kong.BindSingletonProvider(func() (making, error) {
			s, err := a.hold(a.open(true))
			return making{s}, err
		}),
		kong.NamedMapper("existingfile", asGiven),
		kong.NamedMapper("existingdir", asGiven),
		reads(parseMoney), reads(parseCurrency), reads(parseDate), reads(parseShare), reads(parseRate),
		reads(func(text string) (*decimal.Decimal, error) {
			d, err := parseShare(text)
			return &d, err
		}),
		reads(parseState), reads(parseBasis), reads(parsePaperKind), reads(parseKept), reads(parseFall),
		reads(a.parseSpot), reads(a.parseAsOf),
	}
}

// hold keeps the shop until the command has run.
func (a *app) hold(s *opened, err error) (*opened, error) {
	if err == nil {
		a.held = append(a.held, s)
	}
	return s, err
}

func (a *app) release() {
	for _, s := range a.held {
		s.close()
	}
}

// reads makes parse the way in which flags and arguments of its type are read. What it
// refuses is told with the flag's name, as an error of use.
func reads[T any](parse func(string) (T, error)) kong.Option {
	return kong.TypeMapper(reflect.TypeFor[T](), kong.MapperFunc(
		func(ctx *kong.DecodeContext, target reflect.Value) error {
			var text string
			if err := ctx.Scan.PopValueInto("value", &text); err != nil {
				return err
			}
			v, err := parse(text)
			if err == nil {
				target.Set(reflect.ValueOf(v))
			}
			return err
		}))
}

// asGiven reads the name of a file or folder as it was given: whether it is there is
// found on opening it, and messages name it as the user did.
var asGiven = kong.MapperFunc(func(ctx *kong.DecodeContext, target reflect.Value) error {
	var name string
	if err := ctx.Scan.PopValueInto("name", &name); err != nil {
		return err
	}
	target.SetString(name)
	return nil
})

// doer says who does something.
type doer struct {
	By string `help:"Who does it (default: you)." env:"MIDCASE_USER"`
}

func (d doer) who() string { return user(d.By) }

// onWatch is the watch that a command is about.
type onWatch struct {
	Watch string `arg:"" help:"Id, file number or serial number of the watch."`
}

// ProvideWatch finds it.
func (c onWatch) ProvideWatch(a *app, s *opened) (shop.Watch, error) { return s.Find(a.ctx, c.Watch) }

// onClient is the client that a command is about.
type onClient struct {
	Client string `arg:"" help:"Id, name or e-mail address of the client."`
}

// ProvideClient finds the client.
func (c onClient) ProvideClient(a *app, s *opened) (shop.Client, error) {
	return s.People.Find(a.ctx, c.Client)
}

// clientID finds a client by what was given; nothing stays nothing.
func clientID(a *app, s *opened, key string) (string, error) {
	if key == "" {
		return "", nil
	}
	c, err := s.People.Find(a.ctx, key)
	return c.ID, err
}

// terms are those of a dealing, but for the amount.
type terms struct{ trade.Terms }

// of are the terms for an amount. owed is the account that stands for paying later.
func (t terms) of(amount money.Money, owed ledger.Account) trade.Terms {
	t.Amount = amount
	if t.Pay == "" {
		t.Pay = owed
	}
	return t.Terms
}
