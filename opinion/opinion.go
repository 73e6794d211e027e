package opinion

import (
	"midcase/edtf"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/metal"
	"midcase/money"
	"midcase/say"
)

// SchemaVersion is the version of the Opinion's JSON form.
const SchemaVersion = 1

// Opinion is what the evidence of one watch comes to on a date. Its JSON form is
// stable and documented in docs/schema/opinion.schema.json.
type Opinion struct {
	Schema    int       `json:"schema"`
	Watch     Watch     `json:"watch"`
	AsOf      string    `json:"as_of"` // ISO 8601 day
	Summary   Summary   `json:"summary"`
	Dating    Dating    `json:"dating"`
	Parts     []Part    `json:"parts"`
	Rules     []Rule    `json:"rules"`
	Condition Condition `json:"condition"`
	Measured  []Measure `json:"measured"`
	Metal     Metal     `json:"metal"`
	Running   Running   `json:"running"`
	Value     Value     `json:"value"`
	Deal      Deal      `json:"deal"`
	// Disagreements are things on record that do not go together, each with both its sides.
	Disagreements []Disagreement  `json:"disagreements"`
	Unknown       []say.Statement `json:"unknown"`  // what has not been examined or cannot be told
	Cautions      []say.Statement `json:"cautions"` // safety, law, limits

	// Originality is the share of parts that belong, 0–1, each weighed by what a collector
	// looks at, as the market counts it and wants are held against it; nil where no part
	// has been judged.
	Originality *float64 `json:"-"`
}

// Watch identifies the watch that the opinion is about.
type Watch struct {
	ID        string  `json:"id,omitempty"`
	Title     string  `json:"title"`
	Maker     string  `json:"maker"`
	Reference string  `json:"reference"`
	Family    string  `json:"family,omitempty"`
	Name      string  `json:"name,omitempty"`
	Metal     string  `json:"metal,omitempty"`
	Serial    string  `json:"serial,omitempty"`
	Calibre   string  `json:"calibre,omitempty"`
	InBook    bool    `json:"in_book"`
	Set       string  `json:"set"` // watch, papers or full
	Basis     []Basis `json:"basis,omitempty"`
}

// Basis points to what a figure stands on.
type Basis = estimate.Basis

// Summary is the one sentence that a page opens with, and its parts, each of which
// leads to the section that it sums up.
type Summary struct {
	Sentence say.Statement `json:"sentence"`
	Clauses  []Clause      `json:"clauses"`
}

// Clause is a part of the summary: Section is the id of the section it leads to
// (dating, parts, condition, value, deal).
type Clause struct {
	Section string        `json:"section"`
	Text    say.Statement `json:"text"`
}

// Dating is when the watch was made.
type Dating struct {
	Known      bool          `json:"known"`
	Median     edtf.Month    `json:"median,omitzero"`
	Interval50 [2]edtf.Month `json:"interval_50,omitzero"`
	Interval90 [2]edtf.Month `json:"interval_90,omitzero"`
	// Ranges are the runs of months of the smallest set that holds 90 %, with the chance
	// of each: more than one where the evidence leaves two dates open.
	Ranges      []DateRange    `json:"ranges_90,omitempty"`
	Delivered   []MarketChance `json:"delivered,omitempty"` // where the book tells markets apart
	EDTF        string         `json:"edtf"`                // the 90 % interval as an EDTF interval
	Months      []MonthChance  `json:"months"`
	Items       []DatingItem   `json:"items"`
	PriorMonths []MonthChance  `json:"prior_months,omitempty"` // by the reference's production span alone
	CannotTell  say.Statement  `json:"cannot_tell,omitzero"`
}

// DateRange is a run of months, both ends included, with its chance.
type DateRange struct {
	Interval [2]edtf.Month `json:"interval"`
	P        float64       `json:"p"`
}

// MarketChance is the chance that the watch was delivered to a market (ISO 3166-1).
type MarketChance struct {
	Market string  `json:"market"`
	P      float64 `json:"p"`
}

// MonthChance is the probability of one month.
type MonthChance struct {
	Month edtf.Month `json:"month"`
	P     float64    `json:"p"`
}

// DatingItem is what one piece of evidence says about the date.
type DatingItem struct {
	Evidence evidence.ID   `json:"evidence"`
	Kind     string        `json:"kind"`
	Says     say.Statement `json:"says"` // "serial number 1234567: about May 1968"
	// SurpriseP is the predictive probability of something at least as unexpected as
	// this item, given all the others and that it speaks of the watch.
	SurpriseP float64 `json:"surprise_p"`
	// OutlierP is the chance, given everything, that the item says nothing about the
	// watch: misread, or from another one. Of a part it is the chance that it was
	// replaced.
	OutlierP  float64       `json:"outlier_p"`
	Disagrees bool          `json:"disagrees"`
	Doubt     say.Statement `json:"doubt,omitzero"` // OutlierP in words, where the item disagrees
	// Alone is the curve that this item by itself would give with the prior.
	Alone []MonthChance `json:"alone,omitempty"`
	// Without is the 90 % interval if this item were left out.
	Without [2]edtf.Month `json:"without_interval_90,omitzero"`
	Basis   []Basis       `json:"basis,omitempty"`
}

// Part is one slot with the verdict on what sits in it.
type Part struct {
	Slot        evidence.Slot `json:"slot"`
	Variant     string        `json:"variant,omitempty"`
	VariantName string        `json:"variant_name,omitempty"`
	// POriginal is the chance that the part left the factory with this watch; nil
	// where it cannot be told.
	POriginal *float64        `json:"p_original"`
	Words     say.Statement   `json:"words"` // say.Likelihood of POriginal
	Verdict   string          `json:"verdict"`
	Service   bool            `json:"service,omitempty"` // a later replacement made by the maker
	Expected  []Expectation   `json:"expected,omitempty"`
	Reasons   []say.Statement `json:"reasons"`
	Evidence  []evidence.ID   `json:"evidence"`
	Basis     []Basis         `json:"basis,omitempty"`
}

// Expectation is a variant that the book expects in the slot at this date.
type Expectation struct {
	Variant string  `json:"variant"`
	Name    string  `json:"name"`
	P       float64 `json:"p"`
}

// Rule is one hard rule of the book, held or broken.
type Rule struct {
	Rule     say.Statement `json:"rule"`
	Slot     evidence.Slot `json:"slot,omitempty"`
	Broken   bool          `json:"broken"`
	Reason   say.Statement `json:"reason"`
	Evidence []evidence.ID `json:"evidence"`
	Basis    []Basis       `json:"basis,omitempty"`
}

// Condition is how good the watch is, on grades 1–10.
type Condition struct {
	Overall  *float64        `json:"overall"`
	Interval [2]float64      `json:"interval_90"`
	Words    say.Statement   `json:"words"`
	Held     string          `json:"held_down_by,omitempty"` // the slot that holds the grade down
	Says     []say.Statement `json:"says"`                   // what holds it down, what is open
	Slots    []SlotGrade     `json:"slots"`
	Rank     *Rank           `json:"rank,omitempty"`
	// Ranks are the places slot by slot; Rank is that of the whole watch where it was
	// compared, else of the slot compared with most others.
	Ranks    []Rank     `json:"ranks,omitempty"`
	PutRight []PutRight `json:"put_right,omitempty"`
}

// PutRight is a fault that can be put right: it holds the value down by its cost at most.
type PutRight struct {
	Slot      evidence.Slot  `json:"slot"`
	By        string         `json:"by"`         // replacing or service
	Cost      [2]float64     `json:"cost_range"` // in Currency
	UsualCost float64        `json:"usual_cost"`
	Currency  money.Currency `json:"currency"`
	PFound    float64        `json:"p_found"` // chance to find the part, or somebody to do it
}

// SlotGrade is the grade of one slot.
type SlotGrade struct {
	Slot     evidence.Slot   `json:"slot"`
	Grade    *float64        `json:"grade"`
	Interval [2]float64      `json:"interval_90"`
	Words    say.Statement   `json:"words"`
	Reasons  []say.Statement `json:"reasons"`
	Evidence []evidence.ID   `json:"evidence"`
	Basis    []Basis         `json:"basis,omitempty"`
}

// Rank is where the watch stands among examples of its reference.
type Rank struct {
	Slot     evidence.Slot `json:"slot,omitempty"` // what was compared; empty for the whole watch
	Better   int           `json:"better_than"`
	Of       int           `json:"of"`
	P        float64       `json:"p"`
	Interval [2]float64    `json:"place_interval_90"`
	Says     say.Statement `json:"says"`
}

// Measure is one measured size beside the book's nominal.
type Measure struct {
	What       string        `json:"what"`
	Name       say.Statement `json:"name"`
	MM         float64       `json:"mm"`
	Interval   [2]float64    `json:"interval_90"`
	NominalMM  *float64      `json:"nominal_mm"`
	Difference *float64      `json:"difference_mm"`
	SpokenMM   *float64      `json:"spoken_mm,omitempty"`
	PRemoved   *float64      `json:"p_material_removed,omitempty"`
	// LossMM is how much was taken off in the mean: the chance times the mean loss, if any
	// was. Its 90 % range begins at 0 where it may be that nothing was.
	LossMM       *float64      `json:"loss_mm,omitempty"`
	LossInterval *[2]float64   `json:"loss_interval_90,omitempty"`
	Says         say.Statement `json:"says"`
	Evidence     []evidence.ID `json:"evidence"`
	Basis        []Basis       `json:"basis,omitempty"`
}

// Metal is what the precious metal comes to. The melt floor is no price for the
// watch.
type Metal struct {
	Name string `json:"name,omitempty"`
	// FineG is of the first of Elements, MeltFloor of all of them together.
	FineG     *float64     `json:"fine_g"`
	Interval  [2]float64   `json:"fine_g_interval_90"`
	Fineness  int          `json:"fineness"`
	MeltFloor *money.Money `json:"melt_floor"`
	Spot      *Spot        `json:"spot,omitempty"`
	Elements  []FineMetal  `json:"elements,omitempty"` // each precious metal apart
	// Contradiction is why there is no fine weight and no floor: a mark that another
	// mark, or what the case is said to be of, contradicts.
	Contradiction *say.Statement `json:"contradiction,omitempty"`
	Parts         []MetalPart    `json:"parts,omitempty"`
	Density       *Density       `json:"density,omitempty"`
	Marks         []MetalMark    `json:"marks,omitempty"`
	Says          say.Statement  `json:"says"`
	Basis         []Basis        `json:"basis,omitempty"`
}

// Spot is a metal price given as input.
type Spot struct {
	PerTroyOunce money.Money `json:"per_troy_ounce"`
	Date         string      `json:"date"`
	Payout       float64     `json:"payout,omitempty"`
}

// FineMetal is what one precious metal of the watch comes to.
type FineMetal struct {
	Element   string       `json:"element"` // gold, silver, platinum, palladium
	FineG     float64      `json:"fine_g"`
	Interval  [2]float64   `json:"fine_g_interval_90"`
	MeltFloor *money.Money `json:"melt_floor"`
	fine      metal.Fine
}

// MetalPart is the precious metal of one part.
type MetalPart struct {
	Part     say.Statement `json:"part"`
	Element  string        `json:"element,omitempty"`
	G        float64       `json:"g"`
	Fineness int           `json:"fineness"`
	FineG    float64       `json:"fine_g"`
	From     say.Statement `json:"from"` // "weighed" or "nominal weight of the book"
	Basis    []Basis       `json:"basis,omitempty"`
}

// Density is a density test with the alloys that it agrees with.
type Density struct {
	Part        say.Statement `json:"part"`
	GPerCM3     float64       `json:"g_per_cm3"`
	Interval    [2]float64    `json:"interval_90"`
	Agrees      []string      `json:"agrees_with"`
	Contradicts bool          `json:"contradicts_mark"`
	Says        say.Statement `json:"says"`
	Basis       []Basis       `json:"basis,omitempty"`
}

// MetalMark is a hallmark read on a part.
type MetalMark struct {
	Slot  evidence.Slot `json:"slot,omitempty"`
	Text  string        `json:"text"`
	Says  say.Statement `json:"says"`
	Basis []Basis       `json:"basis,omitempty"`
}

// Running is how the watch runs over the positions read.
type Running struct {
	Known                   bool            `json:"known"`
	Mean                    *float64        `json:"mean_rate_s_per_day"`
	MeanSE                  *float64        `json:"mean_rate_se_s_per_day,omitempty"` // the clock's term in it
	ClockSE                 float64         `json:"clock_se_s_per_day,omitempty"`     // the clock's term of the mean alone
	Delta                   *float64        `json:"greatest_difference_s_per_day"`
	VerticalMinusHorizontal *float64        `json:"vertical_minus_horizontal_s_per_day"`
	Amplitude               *float64        `json:"amplitude_deg"`
	BeatError               *float64        `json:"beat_error_ms"`
	Isochronism             *float64        `json:"isochronism_s_per_day"`
	LiftAngleDeg            float64         `json:"lift_angle_deg,omitempty"`
	LiftAngleFrom           say.Statement   `json:"lift_angle_from,omitzero"`
	Positions               []PositionRate  `json:"positions"`
	Compared                []Limit         `json:"compared,omitempty"` // beside ISO 3159, as information
	Says                    []say.Statement `json:"says"`
	ServiceExpected         *bool           `json:"service_expected"`
	Service                 *ServiceChange  `json:"service_change,omitempty"` // before and after the latest service, where it was timed on both sides
	Basis                   []Basis         `json:"basis,omitempty"`
}

// PositionRate is one reading.
type PositionRate struct {
	Position       string      `json:"position"`
	SecPerDay      float64     `json:"s_per_day"`
	SE             float64     `json:"s_per_day_se,omitempty"`       // of the reading, without the clock's term; 0 is not stated
	ClockSE        float64     `json:"clock_s_per_day_se,omitempty"` // the clock's term, alike for all positions by one clock
	Clock          string      `json:"clock,omitempty"`              // recorder whose measured clock was used
	AmplitudeDeg   float64     `json:"amplitude_deg,omitempty"`
	AmplitudeSE    float64     `json:"amplitude_deg_se,omitempty"`
	BeatErrorMS    *float64    `json:"beat_error_ms,omitempty"`
	HoursSinceWind float64     `json:"hours_since_wind,omitempty"`
	Evidence       evidence.ID `json:"evidence"`
}

// Limit is a figure beside a published limit.
type Limit struct {
	Criterion string     `json:"criterion"`
	Movement  string     `json:"movement,omitempty"` // the size of movement that the limits are for
	Value     float64    `json:"value"`
	Limits    [2]float64 `json:"limits"`
	Within    bool       `json:"within"`
}

// Value is what the watch is worth on a stated basis.
type Value struct {
	Known            bool                  `json:"known"`
	Kind             string                `json:"basis"` // retail, trade, private, auction-hammer, auction-all-in, insurance
	Definition       say.Statement         `json:"definition"`
	Currency         money.Currency        `json:"currency"`
	AsOf             string                `json:"as_of"`
	Median           *float64              `json:"median"`
	Mean             *float64              `json:"mean"`
	Interval         map[string][2]float64 `json:"interval"` // "50", "80", "90"
	Comparables      []Comparable          `json:"comparables"`
	Reconciled       *Reconciled           `json:"reconciled,omitempty"`
	Contributions    []Contribution        `json:"contributions,omitempty"`
	Baseline         float64               `json:"baseline,omitempty"` // the typical sale from which the contributions lead to Median
	SalesUsed        int                   `json:"sales_used"`
	SalesOfReference int                   `json:"sales_of_reference"`
	Says             []say.Statement       `json:"says"`
	CannotTell       say.Statement         `json:"cannot_tell,omitzero"`
	Basis            []Basis               `json:"value_basis,omitempty"`
}

// Comparable is a past sale adjusted towards this watch.
type Comparable struct {
	Sale         string         `json:"sale"`
	Date         string         `json:"date"`
	Title        string         `json:"title"`
	Price        float64        `json:"price"` // as recorded, in Currency
	Currency     money.Currency `json:"currency"`
	SaleBasis    string         `json:"sale_basis"`
	Venue        string         `json:"venue"`
	Adjustments  []Adjustment   `json:"adjustments"`
	Adjusted     float64        `json:"adjusted"`
	Weight       float64        `json:"weight"`
	GrossPercent float64        `json:"gross_percent"`
}

// Adjustment is one line of the grid: how much the comparable is moved towards the
// subject for one feature. The lines multiply to adjusted / price.
type Adjustment struct {
	Feature    string  `json:"feature"`
	Subject    string  `json:"subject"`
	Comparable string  `json:"comparable"`
	Percent    float64 `json:"percent"`
	Amount     float64 `json:"amount"` // in currency, in the order given; they sum to adjusted − price
}

// Reconciled is the range that the comparables come to, beside the model's.
type Reconciled struct {
	Median float64    `json:"median"`
	Range  [2]float64 `json:"range"`
}

// Contribution is what one feature adds to the value.
type Contribution struct {
	Feature  string     `json:"feature"`
	Level    string     `json:"level"`
	Percent  float64    `json:"percent"`
	Interval [2]float64 `json:"interval_90"`
}

// Deal is what to pay, by the first route of the shop's terms of selling.
type Deal struct {
	Known          bool             `json:"known"`
	Route          string           `json:"route,omitempty"`
	HighestPrice   *money.Money     `json:"highest_price"`
	AskedPrice     *money.Money     `json:"asked_price,omitempty"`
	PaidPrice      *money.Money     `json:"paid_price,omitempty"`
	ChanceOfLoss   *float64         `json:"chance_of_loss"`  // at the price paid, else the asked price, else the highest price
	ExpectedProfit *money.Money     `json:"expected_profit"` // at the same price
	ProfitInterval [2]float64       `json:"profit_interval_90"`
	MonthsToSell   *estimate.Figure `json:"months_to_sell,omitempty"`
	WantedMargin   float64          `json:"wanted_margin"`
	Confidence     float64          `json:"confidence"`
	Costs          []Cost           `json:"costs,omitempty"`
	Floor          *money.Money     `json:"melt_floor,omitempty"`
	Says           []say.Statement  `json:"says"`
	CannotTell     say.Statement    `json:"cannot_tell,omitzero"`
	Basis          []Basis          `json:"basis,omitempty"`
}

// Cost is one cost that the deal counts with, as a range.
type Cost struct {
	Name     say.Statement `json:"name"`
	Mean     float64       `json:"mean"`
	Interval [2]float64    `json:"interval_90"`
}
