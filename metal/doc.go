// Package metal computes with the precious metal of a case or bracelet.
//
// What goes in: marks as read, masses in air and in water with their uncertainty,
// finenesses, and a spot price with its currency. What comes out: ReadHallmark says
// what a mark states, FineWeight and MeltFloor what the metal comes to, Density and
// Agrees which alloys a weighing in water is consistent with.
//
// Finenesses are those of ISO 9202 and of hallmarking law; density follows
// Archimedes with the air counted; uncertainties are standard uncertainties,
// combined as independent by first-order propagation.
//
// It refuses to prove anything from a mark (a mark is not an assay) or from a
// density (which can contradict a claim and never prove one, and cannot tell the
// steels apart), and the melt floor is no price for a watch. Weigh bare, solid
// parts only; a watch or a movement is never put in water.
//
// Read FineWeight first, then Density.
package metal
