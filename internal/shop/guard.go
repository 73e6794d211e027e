package shop

import (
	"context"
	"time"

	"midcase/evidence"
	"midcase/internal/shop/rights"
	"midcase/market"
)

// guarded are stores that write only what the role of whoever asks may write (see package rights), so
// that no room and no page can forget to ask.
func guarded(s Stores) Stores {
	s.Watches = guardedWatches{s.Watches}
	s.Sales = guardedSales{s.Sales}
	s.Clients = guardedClients{s.Clients}
	s.Settings = guardedSettings{s.Settings}
	s.Steps = guardedSteps{s.Steps}
	s.Privacy = guardedPrivacy{s.Privacy}
	s.Papers = guardedPapers{s.Papers}
	s.Examples = guardedExamples{s.Examples}
	s.Hooks = guardedHooks{s.Hooks}
	s.Texts = guardedTexts{s.Texts}
	s.Links = guardedLinks{s.Links}
	s.Revisions = guardedRevisions{s.Revisions}
	return s
}

type guardedWatches struct{ WatchStore }

func (g guardedWatches) CreateWatch(ctx context.Context, w Watch, items ...evidence.Item) (Watch, error) {
	if err := rights.Check(ctx, rights.Record); err != nil {
		return Watch{}, err
	}
	return g.WatchStore.CreateWatch(ctx, w, items...)
}

func (g guardedWatches) UpdateWatch(ctx context.Context, w Watch) (Watch, error) {
	if err := rights.Check(ctx, rights.Record); err != nil {
		return Watch{}, err
	}
	return g.WatchStore.UpdateWatch(ctx, w)
}

func (g guardedWatches) Append(ctx context.Context, id WatchID, items ...evidence.Item) error {
	if err := rights.Check(ctx, rights.Record); err != nil {
		return err
	}
	return g.WatchStore.Append(ctx, id, items...)
}

type guardedSales struct{ SaleStore }

func (g guardedSales) AddSales(ctx context.Context, sales []market.Sale, at time.Time) (int, error) {
	if err := rights.Check(ctx, rights.Import); err != nil {
		return 0, err
	}
	return g.SaleStore.AddSales(ctx, sales, at)
}

type guardedClients struct{ ClientStore }

func (g guardedClients) CreateClient(ctx context.Context, c Client) (Client, error) {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return Client{}, err
	}
	return g.ClientStore.CreateClient(ctx, c)
}

func (g guardedClients) UpdateClient(ctx context.Context, c Client) (Client, error) {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return Client{}, err
	}
	return g.ClientStore.UpdateClient(ctx, c)
}

type guardedPrivacy struct{ PrivacyStore }

func (g guardedPrivacy) EraseClient(ctx context.Context, c Client) (Client, error) {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return Client{}, err
	}
	return g.PrivacyStore.EraseClient(ctx, c)
}

func (g guardedPrivacy) RedactItem(ctx context.Context, id WatchID, of evidence.ID, by evidence.Item) error {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return err
	}
	return g.PrivacyStore.RedactItem(ctx, id, of, by)
}

func (g guardedPrivacy) RedactNote(ctx context.Context, id WatchID, at time.Time) (Watch, error) {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return Watch{}, err
	}
	return g.PrivacyStore.RedactNote(ctx, id, at)
}

// Settings that only some may write, as they are kept.
const (
	PeopleName     = "people"      // who may sign in
	HouseRulesName = "local rules" // what holds a watch back from being sold
	BookRulesName  = "book rules"  // how the books are kept, and what of them is filed
)

// settingRights are the rights that settings ask for; others are lists that people keep while they
// work, and ask for that of recording.
var settingRights = map[string]rights.Right{
	SettingsName: rights.Settings, HouseRulesName: rights.Settings, BookRulesName: rights.Ledger, letterheadName: rights.Settings,
	foundingName: rights.Settings,
	PeopleName:   rights.People,
}

type guardedSettings struct{ SettingStore }

func (g guardedSettings) SetSetting(ctx context.Context, name, value string) error {
	if err := checkSetting(ctx, name); err != nil {
		return err
	}
	return g.SettingStore.SetSetting(ctx, name, value)
}

func (g guardedSettings) ReplaceSetting(ctx context.Context, name, was, value string) error {
	if err := checkSetting(ctx, name); err != nil {
		return err
	}
	return g.SettingStore.ReplaceSetting(ctx, name, was, value)
}

func checkSetting(ctx context.Context, name string) error {
	right, ok := settingRights[name]
	if !ok {
		right = rights.Record
	}
	return rights.Check(ctx, right)
}

type guardedSteps struct{ StepStore }

func (g guardedSteps) KeepStep(ctx context.Context, step Step) (Step, error) {
	for _, right := range append(importRights(step), stepRight(step)) {
		if err := rights.Check(ctx, right); err != nil {
			return Step{}, err
		}
	}
	return g.StepStore.KeepStep(ctx, step)
}

// importRights are those that a step asks for which brings in what a file holds, or takes it back.
func importRights(step Step) []rights.Right {
	switch {
	case step.Import == nil:
		return nil
	case len(step.Import.Clients) > 0:
		return []rights.Right{rights.Import, rights.Clients}
	}
	return []rights.Right{rights.Import}
}

// stepRight is the right that a step asks for: that of its movements, else of its entries, else of who
// was shown what.
func stepRight(step Step) rights.Right {
	switch {
	case len(step.Movements) > 0:
		return rights.Trade
	case len(step.Entries) > 0:
		return rights.Ledger
	case len(step.Showings) > 0:
		return rights.Clients
	}
	return rights.Record
}

type guardedPapers struct{ PaperStore }

func (g guardedPapers) KeepPaper(ctx context.Context, p Paper, content string) (Paper, error) {
	if err := rights.Check(ctx, rights.Papers); err != nil {
		return Paper{}, err
	}
	return g.PaperStore.KeepPaper(ctx, p, content)
}

type guardedExamples struct{ ExampleStore }

func (g guardedExamples) AddExamples(ctx context.Context, all []SeenExample) ([]SeenExample, error) {
	if err := rights.Check(ctx, rights.Record); err != nil {
		return nil, err
	}
	return g.ExampleStore.AddExamples(ctx, all)
}

type guardedRevisions struct{ RevisionStore }

func (g guardedRevisions) EditBook(ctx context.Context, edit func() error) error {
	if err := rights.Check(ctx, rights.EditBook); err != nil {
		return err
	}
	return g.RevisionStore.EditBook(ctx, edit)
}

func (g guardedRevisions) ClockIsRight(ctx context.Context) error {
	if err := rights.Check(ctx, rights.Settings); err != nil {
		return err
	}
	return g.RevisionStore.ClockIsRight(ctx)
}

type guardedHooks struct{ HookStore }

func (g guardedHooks) KeepHook(ctx context.Context, h Hook) error {
	if err := rights.Check(ctx, rights.Settings); err != nil {
		return err
	}
	return g.HookStore.KeepHook(ctx, h)
}

func (g guardedHooks) DropHook(ctx context.Context, id string) error {
	if err := rights.Check(ctx, rights.Settings); err != nil {
		return err
	}
	return g.HookStore.DropHook(ctx, id)
}

type guardedTexts struct{ TextStore }

func (g guardedTexts) KeepText(ctx context.Context, t OwnText) (OwnText, error) {
	if err := rights.Check(ctx, rights.Record); err != nil {
		return OwnText{}, err
	}
	return g.TextStore.KeepText(ctx, t)
}

// guardedLinks asks nothing of whoever opens a link, which is what it is for.
type guardedLinks struct{ LinkStore }

func (g guardedLinks) KeepLink(ctx context.Context, l Link, hash string) error {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return err
	}
	return g.LinkStore.KeepLink(ctx, l, hash)
}

func (g guardedLinks) EndLink(ctx context.Context, id string, at time.Time) (Link, error) {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return Link{}, err
	}
	return g.LinkStore.EndLink(ctx, id, at)
}

func (g guardedLinks) DropLinks(ctx context.Context, client string) error {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return err
	}
	return g.LinkStore.DropLinks(ctx, client)
}
