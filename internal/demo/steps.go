package demo

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// The people of the shop's dealings: two dealers, a workshop, and private sellers whose identity was
// seen.
const (
	dealerAbroad = "c_21"
	dealerAtHome = "c_22"
	bench        = "c_bench"
)

var privateSellers = []string{"c_03", "c_07", "c_11", "c_14", "c_18", "c_24"}

// workshopClient is the workshop, which is no client in the sense of the world's list.
var workshopClient = shop.Client{ID: bench, Name: "Workshop J. Pellborn", Kind: "workshop", Country: "DE",
	Email: "bench@pellborn.example"}

// francRate is what a Swiss franc cost in the year's dealings, in EUR.
var francRate = decimal.MustNew(10638, 4)

// step is one thing that was done with a watch.
type step func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error)

// dated is the nth step of a watch with its day.
type dated struct {
	day   time.Time
	watch int // place in the world's list
	n     int
	take  step
}

// life is the plan of a watch's life in the shop: its steps fall between the day on which it came in
// and the world's last day.
type life struct {
	stream
	w     Watch
	no    int // of the file
	day   time.Time
	last  time.Time // when it stood in its present state
	due   time.Time // about when what is promised falls due
	steps []dated
}

// newLife plans the steps of the nth watch. due is a day soon after the making of the shop.
func newLife(seed uint64, n int, w Watch, due time.Time) *life {
	l := &life{stream: newStream(seed, fmt.Sprintf("life %d", n+1)), w: w, no: n + 1,
		last: today.AddDate(0, 0, -3), due: due}
	if w.State == shop.Offered {
		return l
	}
	l.day, _ = w.Acquired.First()
	l.comeIn()
	switch w.State {
	case shop.AtWorkshop:
		l.later(10, 30)
		l.move(trade.Moving{To: shop.AtWorkshop, Holder: bench, Place: w.Place, Due: l.dueIn(9)})
	case shop.Photographed:
		l.onSale(shop.Photographed)
	case shop.Listed, shop.Reserved, shop.OnMemo, shop.Sold:
		l.onSale(shop.Listed)
	}
	switch w.State {
	case shop.Reserved:
		l.reserve()
	case shop.OnMemo:
		l.later(15, 40)
		l.move(trade.Moving{To: shop.OnMemo, Person: dealerAtHome, Place: w.Place, Due: l.dueIn(6),
			Note: "to show to a customer of theirs"})
	case shop.Sold:
		l.sell()
	}
	return l
}

// later moves the day on by some days, but not beyond the last.
func (l *life) later(least, most int) {
	l.day = l.day.AddDate(0, 0, least+l.IntN(most-least+1))
	if l.day.After(l.last) {
		l.day = l.last
	}
}

func (l *life) on() string { return l.day.Format(time.DateOnly) }

func (l *life) dueIn(days int) edtf.Date {
	return edtf.MustParse(l.due.AddDate(0, 0, days).Format(time.DateOnly))
}

func (l *life) do(s step) {
	l.steps = append(l.steps, dated{l.day, l.no - 1, len(l.steps), s})
}

// firstPlace is where a watch was before it went out of the house.
func (w Watch) firstPlace() string {
	switch w.State {
	case shop.AtWorkshop, shop.OnMemo, shop.Sold:
		return "safe, shelf 2"
	}
	return w.Place
}

func (l *life) move(m trade.Moving) {
	m.Day = l.on()
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.Move(ctx, id, m, owner)
	})
}

// exchanged is the watch that was taken in part exchange for another, by file number.
var exchanged = map[int]int{57: 35}

// consignedAndSold is the watch that was sold for its owner.
const consignedAndSold = 59

func (l *life) comeIn() {
	d := trade.Terms{Day: l.on(), Amount: l.w.Cost, Client: l.seller(), Document: fmt.Sprintf("P-26-%03d", l.no),
		Place: l.w.firstPlace(), Pay: ledger.Bank}
	switch {
	case l.w.State == shop.Consigned || l.no == consignedAndSold:
		l.consign(d)
	case l.w.State == shop.PartShare:
		t := trade.Sharing{Terms: d, Stakes: []ledger.Stake{{Party: dealerAtHome, Share: decimal.MustNew(50, 2)}}}
		t.Client = privateSellers[l.no%len(privateSellers)]
		l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
			return s.Trade.ShareBuy(ctx, id, t, owner)
		})
	case exchanged[l.no] != 0:
		l.day = today.AddDate(0, -3, 0) // after the other was sold
		d.Day, d.Client, d.Document = l.on(), buyerOf(exchanged[l.no]), ""
		against := watchID(exchanged[l.no])
		l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
			return s.Trade.PartExchange(ctx, id, trade.Buying{Terms: d}, against, owner)
		})
	default:
		l.buy(d)
	}
}

// consign takes a watch in for its owner, one of them for a net price.
func (l *life) consign(d trade.Terms) {
	value := l.w.Asking
	if value.IsZero() {
		value = l.w.Cost
	}
	t := trade.Consigning{Terms: d, Commission: decimal.MustNew(15, 2)}
	t.Amount, t.Client, t.Document = euros(rounded(0.8*value.Float())), l.w.Client, fmt.Sprintf("C-26-%03d", l.no)
	if l.no == 22 {
		t.Commission, t.Net = decimal.Zero, euros(rounded(0.85*value.Float()))
	}
	if l.w.State == shop.Sold {
		t.Client = privateSellers[l.no%len(privateSellers)]
	}
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.ConsignIn(ctx, id, t, owner)
	})
}

// buy books a purchase; the dealer abroad is paid in Swiss francs, and two bills are still open.
func (l *life) buy(d trade.Terms) {
	if d.Client == dealerAbroad && l.no%2 == 0 {
		const francsPerEuro = 0.94
		d.Amount, d.Rate = francs(rounded(d.Amount.Float()*francsPerEuro)), francRate
	}
	if l.no == 40 || l.no == 43 {
		d.Pay = ledger.Payable
	}
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.Buy(ctx, id, trade.Buying{Terms: d}, owner)
	})
}

func francs(v float64) money.Money {
	m, err := money.Round(v, "CHF")
	if err != nil {
		panic(err) // every amount of the world is finite and small
	}
	return m
}

// seller is from whom the shop bought: every third time a dealer.
func (l *life) seller() string {
	switch l.no % 6 {
	case 0:
		return dealerAbroad
	case 3:
		return dealerAtHome
	}
	return privateSellers[l.no%len(privateSellers)]
}

// onSale takes the watch through the workshop, some of them, and before the camera, and lists it.
func (l *life) onSale(to shop.State) {
	if l.no > 8 && l.no%3 == 0 { // the first eight keep the evidence that they came with
		l.service()
	}
	l.later(2, 12)
	l.move(trade.Moving{To: shop.Photographed, Place: l.w.firstPlace()})
	if to == shop.Photographed {
		return
	}
	l.later(1, 8)
	if latest := today.AddDate(0, 0, -5-l.IntN(45)); l.w.State == shop.Listed && l.day.Before(latest) {
		l.day = latest // it waited for its turn
	}
	l.move(trade.Moving{To: shop.Listed, Place: l.w.firstPlace(), Asking: l.w.Asking})
}

func (l *life) service() {
	l.later(2, 9)
	l.move(trade.Moving{To: shop.AtWorkshop, Holder: bench, Place: "workshop of J. Pellborn"})
	l.later(10, 24)
	t := trade.Working{What: "service", Terms: trade.Terms{Day: l.on(), Client: bench,
		Amount: euros(float64(280 + 20*l.IntN(16))), Document: fmt.Sprintf("W-26-%03d", l.no), Pay: ledger.Bank}}
	if l.no == 21 {
		t.Removed = []shop.Kept{{Slot: evidence.Crown, What: "worn crown, kept"}}
	}
	if l.no == 48 {
		t.Pay = ledger.Payable
	}
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.Repair(ctx, id, t, owner)
	})
}

func (l *life) reserve() {
	l.later(5, 25)
	t := trade.Reserving{Until: l.dueIn(10 + l.no%5), Terms: trade.Terms{Day: l.on(), Client: l.w.Client,
		Document: fmt.Sprintf("D-26-%03d", l.no), Amount: euros(rounded(0.1 * l.w.Asking.Float())), Pay: ledger.Bank,
		Place: l.w.Place}}
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.Reserve(ctx, id, t, owner)
	})
}

// buyerOf is who bought the nth watch.
func buyerOf(n int) string { return fmt.Sprintf("c_%02d", 1+n%19) }

func watchID(n int) shop.WatchID { return shop.WatchID(fmt.Sprintf("w_demo%02d", n)) }

// sell sells for a little less than asked; the first sold is paid a part back later, another is still
// owed for.
func (l *life) sell() {
	l.later(12, 70)
	routes := trade.Routes()
	t := trade.Selling{Route: routes[l.no%2], Terms: trade.Terms{Day: l.on(), Client: buyerOf(l.no),
		Document: fmt.Sprintf("S-26-%03d", l.no), Amount: euros(rounded(l.w.Asking.Float() * l.between(0.93, 0.99))),
		Pay: ledger.Bank, Place: l.w.Place}}
	if l.no == 35 || l.no == 52 {
		t.Pay = ledger.Receivable
	}
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.Sell(ctx, id, t, owner)
	})
	l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
		return s.Trade.Fee(ctx, id, trade.Working{What: "insured carriage",
			Terms: trade.Terms{Day: t.Day, Amount: euros(45), Pay: ledger.Bank}}, owner)
	})
	if l.no == 37 {
		l.later(6, 12)
		part := trade.Terms{Day: l.on(), Amount: euros(90), Pay: ledger.Bank}
		l.do(func(ctx context.Context, s *rooms.Shop, id shop.WatchID) (shop.Movement, error) {
			return s.Trade.Refund(ctx, id, part, owner)
		})
	}
}

// fillLives takes the watches through their lives. Steps that were taken already are left
// alone.
func (w *World) fillLives(ctx context.Context, s *rooms.Shop) error {
	if _, err := s.People.Add(ctx, workshopClient); err != nil && !errors.Is(err, shop.ErrExists) {
		return err
	}
	if err := fillMoney(ctx, s); err != nil {
		return err
	}
	due := s.Now()
	if due.Before(today) {
		due = today
	}
	taken := make([]int, len(w.Watches))
	var steps []dated
	for n, x := range w.Watches {
		history, err := s.Trade.History(ctx, shop.WatchID(x.Evidence.ID))
		if err != nil {
			return err
		}
		taken[n] = len(history) - 1 // the first says that it was taken in
		steps = append(steps, newLife(w.Seed, n, x, due).steps...)
	}
	slices.SortStableFunc(steps, func(a, b dated) int { return a.day.Compare(b.day) })
	for _, st := range steps {
		if x := w.Watches[st.watch]; st.n >= taken[st.watch] {
			if _, err := st.take(ctx, s, shop.WatchID(x.Evidence.ID)); err != nil {
				return fmt.Errorf("life of %s, step %d: %w", x.File, st.n+1, err)
			}
		}
	}
	return nil
}

// fillMoney books the owner's money and what the shop costs, where the ledger is empty.
func fillMoney(ctx context.Context, s *rooms.Shop) error {
	last, err := s.Entries(ctx, shop.EntryFilter{Last: 1})
	if err != nil || len(last) > 0 {
		return err
	}
	if _, err := s.Trade.CapitalIn(ctx, trade.Terms{Day: "2026-01-02", Amount: euros(280_000), Pay: ledger.Bank,
		Text: "money put in to begin with"}, owner); err != nil {
		return err
	}
	out := trade.Terms{Day: "2026-01-05", Amount: euros(58_511), Pay: ledger.Bank, Text: "francs for purchases abroad"}
	in := trade.Terms{Amount: francs(55_000), Rate: francRate, Pay: ledger.Bank}
	if _, err := s.Trade.Exchange(ctx, out, in, owner); err != nil {
		return err
	}
	for month := time.January; month <= time.September; month++ {
		d := trade.Terms{Day: time.Date(2026, month, 3, 0, 0, 0, 0, time.UTC).Format(time.DateOnly),
			Amount: euros(1450), Pay: ledger.Bank, Text: "rent and insurance"}
		if _, err := s.Trade.Overhead(ctx, d, money.Money{}, owner); err != nil {
			return err
		}
	}
	return nil
}
