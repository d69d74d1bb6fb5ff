// Package drift says from the checks of a gauge how its error moves: the rate
// and when a limit is reached, a step that nobody noted, control charts with
// their run lengths, and when to check again.
//
// Errors are indication less true value. They, their uncertainties and limits
// are in metres, or all in one other unit: the arithmetic knows none. Times are
// counted in days of 24 hours from the first check. What is shown here points
// at what a person should look at; it never decides a job's verdict.
//
// [NewGauge] reviews a gauge point by point: at each master, from each side. The
// worst decides; a mean over points decides nothing.
//
// [Trend] and the charts take one check after the other and keep a state of
// fixed size. Numbers that mean nothing - too few checks, errors without any
// scatter - are refused with the reason.
package drift
