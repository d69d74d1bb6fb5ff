// Package health says how far a gauge can be trusted: what its checks, taken together,
// say of its error from check to check, what is wrong with checks of the past, and the
// readings of a study. What each check says by itself, what the jobs say, and what a
// gauge shows of itself lie in the packages below it. Nothing here reads or stores: who
// has the facts gives them.
package health
