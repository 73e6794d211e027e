// Package intake is the room in which things are recorded: watches taken in, evidence, photographs
// with what was measured in them, and sounds.
//
// In go a watch, what was seen or heard and by whom; out come items of evidence as they were kept, all
// or none. It refuses pictures and sounds that cannot be read, and terms that are not of the list.
//
// Read Room.TakeIn first, then Room.Record.
package intake
