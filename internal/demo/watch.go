package demo

import (
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/money"
)

// Watch is one watch of the stock: its evidence, its place in the shop, and what to
// draw and sound for it.
type Watch struct {
	File     string // of the plain watch file, such as 01-corvane-kr-1.json
	Evidence evidence.Watch
	Serial   string
	State    shop.State
	Place    string
	Cost     money.Money // what the shop paid; zero where it does not own the watch
	Asked    money.Money // what the seller asks
	Asking   money.Money // what the shop asks
	Acquired edtf.Date
	Client   string // id of a client, where one is concerned
	Note     string
	Photos   []PhotoSpec
	Sounds   []SoundSpec
}

// Truth is what the world's maker knows about a watch.
type Truth struct {
	Made        edtf.Month `json:"made"`
	Replaced    []string   `json:"replaced"` // slots whose part did not leave the factory with the watch
	Problems    []Problem  `json:"problems"`
	PriceMedian float64    `json:"price_median"` // EUR, retail, on the world's last day
	Condition   float64    `json:"condition"`
	Originality float64    `json:"originality"`
	Spot        *TrueSpot  `json:"spot,omitempty"` // for watches of precious metal
	RateSPerDay float64    `json:"rate_s_per_day"` // mean over the positions
}

// TrueSpot is the price of fine metal on the world's last day.
type TrueSpot struct {
	Metal        string  `json:"metal"`
	Currency     string  `json:"currency"`
	PerTroyOunce float64 `json:"per_troy_ounce"`
}

// makeWatches fills Watches and Truth.
func (w *World) makeWatches() {
	counter := 0
	seen := map[string][]*specimen{} // by reference, as they came in
	for i, p := range stock {
		s := newStream(w.Seed, fmt.Sprintf("watch %d", i+1))
		x := newSpecimen(s, w.book, p)
		file := fmt.Sprintf("%02d-%s-%s.json", i+1, p.maker, slug(p.reference))
		truth := x.truth()
		r := newRecord(s, x, i, &counter)
		r.peers = seen[p.maker+p.reference]
		r.observe(truth)
		x.id = r.watchID()
		seen[p.maker+p.reference] = append(r.peers, x)
		watch := r.watch(file)
		watch.settle(s, p, truth)
		w.Watches = append(w.Watches, watch)
		w.Truth[file] = truth
	}
}

// features are those by which the truth prices the watch: retail, the watch as it
// is.
func (x *specimen) features() features {
	dial := ""
	if p := x.parts[evidence.Dial]; p != nil && p.variant != nil {
		dial = p.variant.Premium
	}
	return features{Maker: x.maker.ID, Family: x.ref.Family, Reference: x.ref.ID, Metal: x.ref.Metal, Dial: dial,
		Completeness: x.plan.set, Country: "DE",
		Condition: x.condition(), Originality: x.originality(), Year: x.made.Year(), Channel: channels[0]}
}

func (x *specimen) truth() Truth {
	t := Truth{Made: x.made, Replaced: x.replacedSlots(), Problems: append([]Problem{}, x.plan.problems...),
		PriceMedian: math.Round(x.features().median(QuarterOf(today))), Condition: to(x.condition(), 0.01),
		Originality: to(x.originality(), 0.001), RateSPerDay: to(x.runs.mean, 0.1)}
	if strings.HasPrefix(x.ref.Metal, "gold1") || x.ref.Metal == "two_tone" {
		t.Spot = &TrueSpot{"gold", "EUR", spotOn("gold", today)}
	}
	return t
}

// settle gives the watch its place in the shop and its prices.
func (w *Watch) settle(s stream, p planned, t Truth) {
	w.State = p.state
	retail := t.PriceMedian
	paid := rounded(retail * s.between(0.58, 0.74))
	switch p.state {
	case shop.Offered:
		w.Place = "tray at the desk"
	case shop.AtWorkshop:
		w.Place = "workshop of J. Pellborn"
	case shop.Consigned:
		w.Place, w.Client = "safe, shelf 2", fmt.Sprintf("c_%02d", 1+s.IntN(20))
	case shop.OnMemo:
		w.Place, w.Client = "out on memo", "c_21"
	case shop.Reserved:
		w.Place, w.Client = "safe, shelf 1", fmt.Sprintf("c_%02d", 1+s.IntN(20))
	case shop.Sold:
		w.Place, w.Client = "handed over", fmt.Sprintf("c_%02d", 1+s.IntN(20))
	default:
		w.Place = pick(s, "safe, shelf 1", "safe, shelf 2", "safe, shelf 3", "window")
	}
	if p.state == shop.Offered {
		return // Asked was set from the seller's claim
	}
	w.Acquired = edtf.MustParse(w.Evidence.Evidence[0].At.AddDate(0, 0, 2).Format(time.DateOnly))
	if p.state != shop.Consigned {
		w.Cost = euros(paid)
	}
	if p.state != shop.Bought && p.state != shop.AtWorkshop {
		w.Asking = euros(rounded(retail * s.between(1.0, 1.12)))
	}
}
