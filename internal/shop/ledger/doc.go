// Package ledger keeps the shop's money by double entry: an entry moves exact amounts
// between accounts of a small chart, balanced in each currency and, at the recorded
// rates, in the shop's own.
//
// What goes in: terms of a dealing (PurchaseTerms, SaleTerms and so on). What comes
// out: an Entry, made of pairs of equal debit and credit, so that no posting rule can
// make one that does not balance. Books folds entries into balances, the stock book of
// the margin scheme, VAT figures, ageing and profit. Entries are values: a wrong one is
// answered by CounterEntry, never changed or taken away.
//
// It refuses an entry that does not balance, names an unknown account, has no rate, or
// uses the margin scheme for a watch that was bought with tax to reclaim. It holds no
// names of people, only their ids, and does not know the law of any place: rates and
// schemes are given to it. The figures are a help for whoever keeps the books, no tax
// advice.
//
// The method is double entry with specific identification of cost (IAS 2, paragraph
// 23) and the margin scheme of Directive 2006/112/EC, articles 312 to 325;
// docs/methods/ledger.md tells how. Read Sale first, then Books.
package ledger
