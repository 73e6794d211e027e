// Package client speaks to a shop over its API, version 1: stock, watches with their evidence and opinions,
// sales, clients, the reference book, papers, the calendar and the addresses that hear of changes.
//
// In goes the address of a shop and a token that a person made for a program; out come the types of this
// package, which the shop itself answers with, so that both cannot drift apart. The shop says what it
// understands at /api/v1/openapi.json.
//
// A refused request is a *Problem, which says what was wrong, field by field. What is recorded carries a key
// and is recorded once, however often it is sent. The client reads no file and no environment.
//
// Start with New, then Watches.
package client
