// Package conditionstudy makes watches from a documented truth and counts how often the
// 90 % ranges of grade, fine weight, density and material taken off hold it.
//
// The truth is not the model. A panel of three grades all that is true of a watch: faults
// have severities on a straight scale, come in company on watches that have lived hard,
// and each grader departs from the published rubric in the points of every term, in how
// further faults add up, in the weights of the parts and in how far the worst rules. An
// examiner then writes down what he sees, in one of three manners. Parts of gold lie in
// the book's tolerance with equal chance, the alloy over the standard more often than
// under, and crystal and dial weigh what discs of their size do. Polishing takes off a
// little each time, and densities are read with bubbles, rounding and water of another
// temperature.
//
// Read Grades, FineWeights, Densities and Losses.
package conditionstudy
