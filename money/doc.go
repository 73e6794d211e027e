// Package money holds amounts that somebody pays, owes, asks or records: a
// decimal with a currency, never a float.
//
// Statistical figures (a median, an interval) are float64 with their currency
// beside them, since they are estimates; Round turns one into Money at the moment
// it becomes an amount. Amounts of different currencies do not add: that is an
// error, not a conversion.
//
// Read Money first. The decimal arithmetic is github.com/govalues/decimal; minor
// units follow ISO 4217.
package money
