// Package v1 is the API for other programs, version 1, under /api/v1: stock, watches with their evidence and opinions,
// sales, clients, the reference book, papers, the calendar, and addresses that hear of changes.
//
// In goes the shop and how the site explains an error; out come a handler and the OpenAPI document that it follows,
// which is made from the types of package client. The right that each operation asks for is given by the site, whose
// table of rights it is. A refusal is a problem as RFC 9457 has it.
//
// Read New, then operations.
package v1
