// Package imports is the room of a shop that brings in a dealer's own files: sales, stock and clients, each
// file as one batch that can be taken back.
//
// What goes in: the bytes of a file and the answers to the questions that its reading asked. What comes out: a
// preview of what was understood (package tables reads it), and the batch with what it added. A batch is kept in
// one transaction, all of it or nothing. Rows that are on record already add nothing, so that a file may be
// imported again; rows with an open question wait until it is answered. Stock comes in with its past: an opening
// entry in the ledger, evidence with the row that it comes from. It refuses a file in which no table is found.
//
// Undoing a batch takes back all of it that nothing later stands on and names what stays and why.
//
// Read first: Room.Bring.
package imports
