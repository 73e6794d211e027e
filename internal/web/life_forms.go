package web

import (
	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	"midcase/money"
)

// The pieces of which the forms of steps and entries are made.
type (
	amountPiece struct {
		Amount money.Money `form:"amount,needed" label:"Price" want:"an amount above zero, for example 6500 or 6500 CHF"`
	}
	clientPiece struct {
		Client string `form:"client,needed" label:"Client" hint:"name, e-mail or id" list:"people" want:"a client's name, e-mail address or id"`
	}
	payPiece struct {
		Pay string `form:"pay" label:"Paid from" choices:"bank|cash|owed=later (stays open)"`
	}
	dayPiece struct {
		Day string `form:"day" label:"Day" kind:"day" hint:"leave empty for today"`
	}
	placePiece struct {
		Place string `form:"place" label:"Place" hint:"where it is then; leave empty if it stays"`
	}
	documentPiece struct {
		Document string `form:"document" label:"Invoice or receipt number"`
	}
	notePiece struct {
		Note string `form:"note,broad" label:"Note" hint:"nothing about people: it is kept for good"`
	}
	duePiece struct {
		Due edtf.Date `form:"due" label:"Due back" kind:"day"`
	}
	ratePiece struct {
		Rate decimal.Decimal `form:"rate" label:"Exchange rate" hint:"our currency for 1 of the other; leave empty to use our table"`
	}
	schemePiece struct {
		Scheme string `form:"scheme" label:"Tax scheme" choices:"=our usual one|margin|ordinary|none"`
	}
	taxPiece struct {
		Tax money.Money `form:"tax" label:"Tax included, to reclaim" hint:"ordinary scheme only; leave empty for none"`
	}
	overridePiece struct {
		Override string `form:"override,broad" label:"Reason for going ahead against a hold" hint:"it is kept with the step for good"`
	}
	textPiece struct {
		Text string `form:"text,broad" label:"What it is for" hint:"nothing about people: it is kept for good"`
	}
	newPiece struct {
		New  bool   `form:"new_client" label:"Add as a new client"`
		Kind string `form:"client_kind" label:"The new client is a" choices:"person|dealer|firm|workshop"`
	}
	identityPiece struct {
		newPiece
		Paper  string `form:"paper" label:"Identity paper seen" hint:"passport, identity card; leave empty if not seen now"`
		Number string `form:"number" label:"Its number"`
		Issuer string `form:"issuer" label:"Issued by"`
	}
)

type buyForm struct {
	amountPiece `label:"Price paid" hint:"such as 5200, or 5200 CHF"`
	clientPiece `label:"Seller"`
	payPiece    `label:"Paid from"`
	dayPiece
	placePiece
	identityPiece `group:"New client, or identity seen now?"`
	buyMore       `group:"Exchange rate, tax, documents"`
}

type buyMore struct {
	ratePiece
	schemePiece
	taxPiece
	documentPiece
	overridePiece
}

type enterForm struct {
	amountPiece `label:"Price paid" hint:"such as 5200, or 5200 CHF"`
	clientPiece `label:"Seller"`
	payPiece    `label:"Paid from" choices:"capital=older books (opening balance)|bank|cash|owed=later (stays open)"`
	dayPiece
	placePiece
	identityPiece `group:"New client, or identity seen now?"`
	buyMore       `group:"Exchange rate, tax, documents"`
}

type consignForm struct {
	amountPiece `label:"Agreed value" hint:"for insurance; such as 5200"`
	clientPiece `label:"Owner"`
	Commission  decimal.Decimal `form:"commission" label:"Commission" unit:"% of the price" hint:"such as 15; or"`
	Net         money.Money     `form:"net" label:"Fixed amount for the owner" hint:"whatever the price"`
	OwnName     bool            `form:"own_name,broad" label:"We sell it in our own name, not in the owner's"`
	dayPiece
	placePiece
	identityPiece `group:"New client, or identity seen now?"`
	billMore      `group:"Exchange rate, documents"`
}

type billMore struct {
	ratePiece
	documentPiece
	overridePiece
}

type shareForm struct {
	amountPiece   `label:"Price of the whole watch" hint:"such as 9000"`
	clientPiece   `label:"Seller" hint:"or the partner who leads"`
	Partner       string          `form:"partner,needed" label:"Partner" list:"people" hint:"a dealer on record" want:"a dealer on record"`
	PartnerShare  decimal.Decimal `form:"partner_share,needed" label:"Partner's share" unit:"%" hint:"such as 50"`
	Partner2      string          `form:"partner2" label:"Second partner" list:"people" hint:"if there is one"`
	Partner2Share decimal.Decimal `form:"partner2_share" label:"Second partner's share" unit:"%"`
	Leads         bool            `form:"leads" label:"The partner paid and will sell"`
	payPiece      `label:"Paid from"`
	dayPiece
	placePiece
	identityPiece `group:"New client, or identity seen now?"`
	shareMore     `group:"Exchange rate, tax, documents"`
}

type shareMore struct {
	ratePiece
	schemePiece
	documentPiece
	overridePiece
}

type exchangeForm struct {
	amountPiece `label:"Trade-in value" hint:"such as 2500"`
	clientPiece `label:"Its owner" hint:"who bought the other watch and still owes for it"`
	Against     string `form:"against,needed" label:"For the watch" hint:"file or serial number of the watch we sold" want:"the file or serial number of the watch that was sold"`
	dayPiece
	placePiece
	identityPiece `group:"New client, or identity seen now?"`
	exchangeMore  `group:"Exchange rate, tax, documents"`
}

type exchangeMore struct {
	ratePiece
	schemePiece
	documentPiece
}

type moveForm struct {
	dayPiece
	placePiece
	notePiece
}

type workshopForm struct {
	Holder   string `form:"holder" label:"Watchmaker" list:"people" hint:"a client, or any name of a firm"`
	duePiece `label:"Due back from the watchmaker"`
	moveForm
}

type listForm struct {
	Asking money.Money `form:"asking" label:"Our price" hint:"leave empty if it stays"`
	moveForm
}

type placeForm struct {
	placePiece `label:"Place" hint:"where it is now"`
	Holder     string `form:"holder" label:"Who has it in hand" list:"people" hint:"leave empty for the shop"`
	duePiece
	dayPiece
	notePiece
}

type memoForm struct {
	clientPiece `label:"Who takes it" hint:"a dealer on record"`
	duePiece    `is:"needed" want:"the day on which it is due back"`
	moveForm
	newPiece `group:"New client?"`
}

type reserveForm struct {
	clientPiece `label:"Buyer"`
	duePiece    `label:"Reserved until" is:"needed" want:"the last day"`
	amountPiece `label:"Deposit" hint:"leave empty for none" is:"optional"`
	payPiece    `label:"Deposit paid by" choices:"bank|cash"`
	dayPiece
	newPiece `group:"New client?"`
	billMore `group:"Exchange rate, documents"`
}

type releaseForm struct {
	payPiece `label:"Deposits go back by" choices:"bank|cash|keep=kept by the shop"`
	dayPiece
	placePiece
	documentPiece
}

type sellForm struct {
	amountPiece `label:"Price" hint:"the whole price; a deposit taken is part of it"`
	clientPiece `label:"Buyer"`
	Route       string `form:"route" label:"Route" kind:"choice"`
	payPiece    `label:"Paid by"`
	dayPiece
	documentPiece
	overridePiece
	newPiece `group:"New client?"`
	sellMore `group:"Exchange rate, tax, place"`
}

type sellMore struct {
	ratePiece
	schemePiece `choices:"=as bought|margin|ordinary|none"`
	TaxRate     *decimal.Decimal `form:"tax_rate" label:"Tax rate" unit:"%" hint:"leave empty for ours"`
	placePiece
	Untaxed     string      `form:"untaxed" label:"Why no tax is charged" choices:"=tax is charged, or nothing is said|export=export|intra-community=business in another member state|reverse-charge=reverse charge|exempt=exempt|outside=not subject to tax"`
	Customs     string      `form:"customs" label:"Customs document" hint:"its number, for an export"`
	Destination string      `form:"destination" label:"Goes to the country" hint:"two letters; leave empty for the buyer's"`
	Accounted   money.Money `form:"accounted" label:"What the leading partner accounts for" hint:"price less its tax and costs"`
}

type refundForm struct {
	payPiece `label:"Money goes back by"`
	dayPiece
	placePiece
	documentPiece
	overridePiece `group:"Against a hold"`
}

type allowanceForm struct {
	amountPiece `label:"Refunded" hint:"the sale price goes down by this"`
	payPiece    `label:"Paid by"`
	dayPiece
	documentPiece
	allowanceMore `group:"Exchange rate, hold"`
}

type allowanceMore struct {
	ratePiece
	overridePiece
}

type instalmentsForm struct {
	Parts    int             `form:"parts,needed" label:"How many monthly payments" hint:"such as 12" want:"a number from 2 to 360, for example 12"`
	Interest decimal.Decimal `form:"interest" label:"Interest a year" unit:"%" hint:"leave empty for none"`
	First    string          `form:"first,needed" label:"First payment" kind:"day" want:"the day of the first payment"`
	dayPiece
}

type giveBackForm struct {
	dayPiece
	placePiece
	documentPiece
}

type feeForm struct {
	What        string `form:"what,needed" label:"What it was for" hint:"photographs, carriage, commission" want:"what was paid for, such as carriage"`
	amountPiece `label:"Cost" hint:"such as 450"`
	clientPiece `label:"Paid to" hint:"leave empty if nobody on record" is:"optional"`
	payPiece    `label:"Paid from"`
	dayPiece
	workMore `group:"Exchange rate, tax, documents"`
}

type workMore struct {
	ratePiece
	taxPiece
	documentPiece
	overridePiece
	ForConsignor bool `form:"for_consignor" label:"Charged to the owner"`
}

type workForm struct {
	What        string `form:"what,needed" label:"What was done" hint:"service, repair, polish" want:"what was done, such as service"`
	amountPiece `label:"Cost" hint:"such as 450" is:"optional"`
	clientPiece `label:"Workshop"`
	payPiece    `label:"Paid from"`
	dayPiece
	bagForm  `group:"Parts taken out and kept, or put back"`
	newPiece `group:"New client?"`
	workMore `group:"Exchange rate, tax, documents"`
}

type bagForm struct {
	Slot1 string `form:"bag_slot1" label:"Original part taken out and kept" kind:"choice"`
	What1 string `form:"bag_what1" label:"What it is" hint:"such as worn original crown"`
	Slot2 string `form:"bag_slot2" label:"Another part taken out and kept" kind:"choice"`
	What2 string `form:"bag_what2" label:"What the other one is"`
	Back  string `form:"back_slot" label:"Part put back from the bag" kind:"choice"`
}

type writeOffForm struct {
	textPiece `label:"What happened" hint:"nothing about people" is:"needed" want:"what happened: lost, stolen, broken beyond repair"`
	dayPiece
	documentPiece
}

// Prepare implements the choices of a form.
func (f *sellForm) Prepare(v *form.View) { v.Offer(&f.Route, form.Plain(trade.Routes()...)...) }

// slots are the parts to choose from, after none.
func slots() []form.Option {
	out := []form.Option{{Value: "", Text: "none"}}
	for _, s := range evidence.Slots() {
		out = append(out, form.Option{Value: string(s), Text: s.Name()})
	}
	return out
}

// Prepare implements the choices of a form.
func (b *bagForm) Prepare(v *form.View) {
	v.Offer(&b.Slot1, slots()...)
	v.Offer(&b.Slot2, slots()...)
}
