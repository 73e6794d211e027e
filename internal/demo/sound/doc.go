// Package sound makes recordings of a ticking watch whose rate, beat error and
// amplitude are known, for tests and for the invented world of the demo.
//
// In goes a Watch (beats per hour, rate, amplitude, lift angle, beat error and so
// on) and a Room (noise, hum, speech, a second watch, gain control, clock error);
// out come samples, and from Beats the exact times at which they were put.
//
// The balance swings as an exact sine, θ(t) = A·sin(2πft). It unlocks the escape
// wheel where it comes to -λ/2 on its way through rest and lets the tooth drop at
// +λ/2 (λ the lift angle), so that the times between the noises follow from the
// motion and not from a formula for the amplitude.
//
// Read Record first.
package sound
