// Package papers makes the shop's papers: it gathers what a paper needs of the shop and
// has it numbered, printed by package document, and kept.
//
// In goes an Order: which paper, of which watch, about which step of its life. Out comes
// the paper as kept. Papers on the watch itself (report, valuation, listing, identification
// sheet, record of running) are kept as files; papers about a dealing (invoice, credit note,
// memo note, purchase statement, consignment note) name a client, so what they say is
// kept sealed with the client's key and printed again when asked for.
//
// It refuses to make a second invoice of one sale, or a paper of a step that was
// undone. It gives no advice on tax or law: the words of schemes and terms are the
// shop's settings.
//
// Read Make first.
package papers
