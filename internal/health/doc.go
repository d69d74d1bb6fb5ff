// Package health says how far a gauge can be trusted. A Gauge is a fold over what
// happened to it: its checks, its standing, what is due, and what the checks, taken
// together, say of its error. What is wrong with checks of the past, and the readings
// of a study, are found here, too. What each check says by itself, what the jobs say, and what a
// gauge shows of itself lie in the packages below it. Nothing here reads or stores: who
// has the facts gives them.
package health
