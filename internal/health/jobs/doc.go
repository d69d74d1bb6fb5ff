// Package jobs finds gauges that drift from the work itself. Every job
// compares gauges: the play that the measurements of some gauges and a part of
// known thickness predict, with the play that another gauge verifies. What is
// left over, the residual, is a signed sum of the errors of these gauges, plus
// scatter. Master checks are the anchors: they tell the error of one gauge.
//
// # The model
//
// Each gauge has an error (its bias) and a rate at which the error grows. The
// error also wanders, with time and with uses, and the rate changes a little
// (an integrated random walk). Residuals and master checks are linear in these
// states, so a Kalman filter gives the errors with their uncertainty at each
// time from what came before, and a Rauch-Tung-Striebel smoother gives those of
// the past from all that came since.
//
// Weighted least squares over a window of the last weeks would be simpler. It
// needs a window whose length suits every gauge, weighs the oldest residual in
// it fully and the one before not at all, forgets a master check that falls out
// of it, and solves the window again for each residual. The filter weighs by
// age as the wander of a gauge asks for, keeps master checks for as long as they
// say something, costs the same for each residual however long the history is,
// and gives whitened differences, from which false-alarm rates follow. Without
// wander both are the same; a test holds that.
//
// The filter carries a square root of the covariance, updated by Potter's
// method and propagated by Householder triangularisation (Bierman,
// "Factorization Methods for Discrete Sequential Estimation", 1977, from
// memory), so that a covariance cannot become negative.
//
// # What cannot be told apart
//
// Gauges that only ever occur in one sum cannot be told apart without master
// checks. Their uncertainties then stay as large as they were and only that of
// the sum shrinks: see Combination, and the suspects of an Alarm, which are all
// that explain it about equally well.
//
// Parts of one lot share the error of its nominal thickness. A caller who
// measures no thickness may give the lot a term as if it were a gauge.
//
// # Size
//
// Gauges that residuals link, directly or through others, form a group, which
// has its own filter: two states for each gauge, and their covariance. A group
// has at most sixteen gauges. A site where more hang together, perhaps by one
// micrometer that all benches use, is cut: such a gauge is a member of several
// groups, and each group knows it by its own residuals and its master checks. This
// gives away information, and never counts any twice; the estimate that is
// reported is the one with the least uncertainty.
//
// It is pure: no I/O, no clock, nothing drawn at random. All numbers are
// float64 in metres; none decides a verdict.
package jobs
