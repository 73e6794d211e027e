// Package accounts is the room of the shop's books: it folds the ledger, as far as it has grown, into
// balances, stock book, VAT figures, ageing and profit, and turns its pages.
//
// In go the entries that the store keeps, and questions by account, document, watch, client or day; out
// come pages, rows and files. It changes nothing: what is booked is booked by package trade, in entries
// of package ledger. An entry that cannot be posted makes every answer an error, until it can.
//
// Read Room.Books first, then Room.Journal.
package accounts
