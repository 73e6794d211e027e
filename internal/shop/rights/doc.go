// Package rights says who may do what: the roles of a shop's people and the one table of what each may
// see and change.
//
// In goes a role, in a context; out comes whether it may, or an error that says who may. A context
// without a role is that of the program itself, or of somebody at the shop's own files, and may
// everything.
//
// Read the table, then Check.
package rights
