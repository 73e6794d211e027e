// Package form holds the one way in which the program asks for something and reads the answer.
//
// A form is a Go struct. Each exported member is a field: tags name it as it is sent and say how it is asked
// for; the member's type says how it is read. [Define] checks all of that when the program starts, so a name
// that is used twice, a label that is missing or a tag that nobody knows stops the program at once. A
// [Definition] gives a [Form] that shows values ([Definition.Of]) or one that holds what a request sent
// ([Definition.Read]). The page draws it by [Fields], the handler takes the struct in Form.V.
//
// In go the values of a request; out comes the struct, with figures read by the locale of the reader, what was
// typed kept as it was, and what is wrong in a sentence at its field. A figure that can be read two ways is
// refused, never guessed. Handlers name a field by its member, as in f.Wrong(&f.V.Price, "…"): a wrong name
// does not compile.
//
// Read [Define] first; the tags are listed there.
package form
