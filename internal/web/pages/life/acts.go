package life

import (
	"slices"

	"midcase/internal/shop"
	"midcase/internal/shop/trade"
)

// Act is one step that the watch may take next, or one thing to book about it.
type Act struct {
	ID   string
	Name string // on the choice, such as "Buy"
	Do   string // on the button, such as "Book the purchase"
	Says string // what it does, in a sentence
}

// The acts. What each asks for is in the table of steps of package web.
var (
	buy     = Act{"buy", "Buy", "Book the purchase", "The watch becomes the shop's own stock at the price paid."}
	consign = Act{"consign", "Take on consignment", "Take it in",
		"The watch stays its owner's; the shop earns a commission or what the price exceeds."}
	share = Act{"share", "Buy with partners", "Book the shared purchase",
		"The own part goes into stock; each partner is charged its share."}
	exchange = Act{"exchange", "Take in part exchange", "Book the part exchange",
		"What it counts for is taken off what its owner still owes for a watch bought here."}
	decline    = Act{"decline", "Decline", "Give it back", "The offer was declined and the watch went back."}
	offerAgain = Act{"offer-again", "Offered again", "Put it on the desk again",
		"It came back and is thought about once more."}
	enter = Act{"enter", "Enter its purchase", "Enter the purchase",
		"The watch is in stock, but the ledger does not know what it cost. This books the purchase only."}
	enterConsign = Act{"consign", "Enter its consignment", "Enter the consignment",
		"The watch is here on consignment, but the ledger does not know on what terms."}
	workshop = Act{"at_watchmaker", "To the watchmaker", "Send it to the watchmaker",
		"Who has it and when it is due back; book the work when the bill comes."}
	photographed = Act{"photographed", "Photographed", "Mark as photographed",
		"Pictures are taken; it is ready to be listed."}
	list    = Act{"listed", "List", "List it", "From this day on it counts as on sale."}
	back    = Act{"back", "Return to stock", "Return to stock", "Off sale and back from wherever it was."}
	reserve = Act{"reserve", "Reserve", "Reserve it", "Held for one buyer until a day, with a deposit or without."}
	deposit = Act{"reserve", "More deposit, other day", "Change the reservation",
		"A further deposit of the same buyer, or another last day."}
	release = Act{"release", "End the reservation", "End the reservation",
		"The watch is listed again. Deposits go back, or stay with the shop as agreed and as law allows."}
	memo = Act{"memo", "Out on memo", "Send it out on memo",
		"Another dealer has it unsold and brings it back by a day."}
	sell = Act{"sell", "Sell", "Book the sale",
		"The price, the tax, the watch's own cost, partners' parts or the consignor's due are booked together."}
	refund = Act{"refund", "Refund", "Refund and take back",
		"The whole sale is turned round and the watch comes back into stock."}
	allowance = Act{"allowance", "Refund a part", "Book the allowance",
		"The sale stands at a lower price; tax and partners' parts follow."}
	instalments = Act{"instalments", "Instalments", "Agree on the instalments",
		"What is open is paid by monthly instalments. From then on each payment is divided into interest and price. " +
			"Interest to consumers is regulated; check your local rules."}
	giveBack = Act{"give-back", "Give back to its owner", "Give it back",
		"The consigned watch goes back to its owner unsold."}
	work = Act{"work", "Book work", "Book the work", "Service or repair with its cost; original parts taken out go into the watch's bag. It becomes part of the cost."}
	fee  = Act{"fee", "Book a fee", "Book the fee",
		"A cost of selling: photographs, insurance, carriage, a venue's or a card's charge."}
	place    = Act{"place", "Change location", "Change location", "The state stays; only the location changes."}
	writeOff = Act{"write-off", "Write it off", "Write it off", "Lost or stolen: its cost becomes a loss."}
)

// byState are the acts that lead into a state by Move.
var byState = map[shop.State]Act{shop.AtWorkshop: workshop, shop.Photographed: photographed, shop.Listed: list,
	shop.Reserved: reserve, shop.OnMemo: memo, shop.Sold: sell}

// Acts lists what may be done with the watch now, the steps first.
func Acts(l trade.Life) []Act {
	w := l.Watch
	owned := l.Where.Owned
	var out []Act
	switch w.State {
	case shop.Offered:
		return append([]Act{buy, consign, share, exchange, decline}, place)
	case shop.Sold:
		if l.Holding.Sale != nil {
			out = append(out, refund, allowance)
		}
		if l.Owed.Sign() > 0 {
			out = append(out, instalments)
		}
		return append(out, fee)
	}
	if owned == "" {
		return []Act{offerAgain}
	}
	for _, to := range trade.NextStates(w) {
		switch {
		case to == shop.Bought || to == shop.Consigned || to == shop.PartShare:
			out = append(out, back)
		case to == shop.Returned && owned == shop.OfOthers:
			out = append(out, giveBack)
		case to == shop.Listed && w.State == shop.Reserved:
			out = append(out, release)
		default:
			if a, ok := byState[to]; ok {
				out = append(out, a)
			}
		}
	}
	if w.State == shop.Reserved {
		out = append(out, deposit)
	}
	unknown := l.Holding.Bought == "" && l.Holding.Consign == nil
	if unknown && owned == shop.OfOthers {
		out = append(out, enterConsign)
	} else if unknown && owned == shop.Own {
		out = append(out, enter)
	}
	out = append(out, work, fee, place)
	if l.Holding.Owned() {
		out = append(out, writeOff)
	}
	return out
}

// Find is the act of an id among those that may be done.
func Find(acts []Act, id string) (Act, bool) {
	i := slices.IndexFunc(acts, func(a Act) bool { return a.ID == id })
	if i < 0 {
		return Act{}, false
	}
	return acts[i], true
}
