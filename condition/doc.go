// Package condition turns what was seen and measured on a watch into grades from
// 1 to 10, and ranks examples that were compared side by side.
//
// What goes in: findings by slot in the controlled terms (Terms), measurements
// such as bracelet droop or amplitude, and which slots were looked at. What comes
// out: Grade gives a grade with a range and reasons for each slot, and an overall
// grade that one bad part can hold down; Rank gives abilities and places from
// paired comparisons.
//
// The rubric is data, published in docs/methods/condition.md and readable through
// PublishedRubric: a start, deductions by term, severity and extent with a
// diminishing sum, and caps. The overall grade is a weighted power mean with a
// negative exponent. Ranks come from the Bradley–Terry model with a weak normal
// prior, by Newton's method.
//
// It refuses to grade a slot that nobody looked at (it cannot tell), to count a
// term that is not in the list, and to judge whether a part is original. The
// weights and points are common practice set down by this project, no published
// standard; two graders may differ by about half a grade.
//
// Read Grade first, then Rank.
package condition
