package shop

import (
	"context"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/typed"
)

// checked puts a look at every text before the stores, so that no way of recording can go round it: what a log
// keeps cannot be taken back. Rooms and pages say more where they can.
func checked(s Stores) Stores {
	s.Watches = checkedWatches{s.Watches}
	s.Sales = checkedSales{s.Sales}
	s.Clients = checkedClients{s.Clients}
	s.Settings = checkedSettings{s.Settings}
	s.Steps = checkedSteps{s.Steps}
	s.Papers = checkedPapers{s.Papers}
	s.Examples = checkedExamples{s.Examples}
	s.Texts = checkedTexts{s.Texts}
	return s
}

// texts refuses a record with a text that is too long or holds what no text should.
func texts(what string, record any) error {
	var p evidence.Problems
	for _, f := range typed.Check(record) {
		p = append(p, evidence.Problem{Field: f.Field, Found: f.Found, Want: f.Want})
	}
	if len(p) == 0 {
		return nil
	}
	return &Invalid{What: what, Problems: p}
}

// items are the texts of evidence, whose fields are named as in its data.
func itemTexts(items []evidence.Item) error {
	for _, it := range items {
		if err := texts("add "+string(it.Kind()), it.Data); err != nil {
			return err
		}
		if err := texts("add "+string(it.Kind()), it); err != nil {
			return err
		}
	}
	return nil
}

type checkedWatches struct{ WatchStore }

func (c checkedWatches) CreateWatch(ctx context.Context, w Watch, items ...evidence.Item) (Watch, error) {
	if err := texts("take in a watch", w); err != nil {
		return Watch{}, err
	}
	if err := itemTexts(items); err != nil {
		return Watch{}, err
	}
	return c.WatchStore.CreateWatch(ctx, w, items...)
}

func (c checkedWatches) UpdateWatch(ctx context.Context, w Watch) (Watch, error) {
	if err := texts("change a watch", w); err != nil {
		return Watch{}, err
	}
	return c.WatchStore.UpdateWatch(ctx, w)
}

func (c checkedWatches) Append(ctx context.Context, id WatchID, items ...evidence.Item) error {
	if err := itemTexts(items); err != nil {
		return err
	}
	return c.WatchStore.Append(ctx, id, items...)
}

type checkedSales struct{ SaleStore }

func (c checkedSales) AddSales(ctx context.Context, sales []market.Sale, at time.Time) (int, error) {
	for _, s := range sales {
		if err := texts("add sales", s); err != nil {
			return 0, err
		}
	}
	return c.SaleStore.AddSales(ctx, sales, at)
}

type checkedClients struct{ ClientStore }

func (c checkedClients) CreateClient(ctx context.Context, client Client) (Client, error) {
	if err := texts("add client", client); err != nil {
		return Client{}, err
	}
	return c.ClientStore.CreateClient(ctx, client)
}

func (c checkedClients) UpdateClient(ctx context.Context, client Client) (Client, error) {
	if err := texts("change client", client); err != nil {
		return Client{}, err
	}
	return c.ClientStore.UpdateClient(ctx, client)
}

type checkedSettings struct{ SettingStore }

// MaxSetting is how many bytes a setting may take: lists that many people keep fit in it.
const MaxSetting = 1 << 20

func (c checkedSettings) ReplaceSetting(ctx context.Context, name, was, value string) error {
	if len(value) > MaxSetting {
		return Refuse("keep "+name, name, "more than 1 MB", "at most that")
	}
	return c.SettingStore.ReplaceSetting(ctx, name, was, value)
}

func (c checkedSettings) SetSetting(ctx context.Context, name, value string) error {
	if len(value) > MaxSetting {
		return Refuse("keep "+name, name, "more than 1 MB", "at most that")
	}
	return c.SettingStore.SetSetting(ctx, name, value)
}

type checkedSteps struct{ StepStore }

func (c checkedSteps) KeepStep(ctx context.Context, step Step) (Step, error) {
	for _, w := range step.Watches {
		if err := texts("change a watch", w); err != nil {
			return Step{}, err
		}
	}
	for _, m := range step.Movements {
		if err := texts("take a step", m); err != nil {
			return Step{}, err
		}
	}
	for _, e := range step.Entries {
		if err := texts("book", e); err != nil {
			return Step{}, err
		}
	}
	for _, s := range step.Showings {
		if err := texts("record a showing", s); err != nil {
			return Step{}, err
		}
	}
	for _, items := range step.Items {
		if err := itemTexts(items); err != nil {
			return Step{}, err
		}
	}
	if step.Sold != nil && step.Sold.Sale != nil {
		if err := texts("add the sale", step.Sold.Sale); err != nil {
			return Step{}, err
		}
	}
	return c.StepStore.KeepStep(ctx, step)
}

type checkedPapers struct{ PaperStore }

func (c checkedPapers) KeepPaper(ctx context.Context, p Paper, content string) (Paper, error) {
	if err := texts("make a paper", p); err != nil {
		return Paper{}, err
	}
	return c.PaperStore.KeepPaper(ctx, p, content)
}

type checkedExamples struct{ ExampleStore }

func (c checkedExamples) AddExamples(ctx context.Context, all []SeenExample) ([]SeenExample, error) {
	for _, e := range all {
		if err := texts("add an example", e); err != nil {
			return nil, err
		}
	}
	return c.ExampleStore.AddExamples(ctx, all)
}

type checkedTexts struct{ TextStore }

func (c checkedTexts) KeepText(ctx context.Context, t OwnText) (OwnText, error) {
	if err := texts("keep a text", t); err != nil {
		return OwnText{}, err
	}
	return c.TextStore.KeepText(ctx, t)
}
