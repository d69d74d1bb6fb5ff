// Package rounds makes the procedure of the next round of a job from the proof of
// this one: what was measured after fitting and the parts that are in take the place
// of measurements, under names of their own. Pure.
package rounds
