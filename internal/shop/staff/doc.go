// Package staff is the room of the people who work in the shop: who may sign in, with what, what their
// role allows, and what happened at the door.
//
// In go names, passwords and where a try comes from; out comes the person, or how long to wait. It
// refuses a name that cannot be told from another's, a short password, more tries than a limit has, and
// the removal of the last owner while the shop is served.
//
// Read Room.Admit first.
package staff
