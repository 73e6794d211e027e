package document

import "midcase/evidence"

// ItemWords says in one line what an item of evidence holds, in the words of the
// report. inside adds what stays in the shop: prices asked and costs.
func ItemWords(it evidence.Item, inside bool) string { return itemWords(it, inside) }
