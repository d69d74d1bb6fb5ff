// Package simulate plays gauges on pseudo-terminals: for the demonstration,
// for tests, and to try a definition before the gauge is on the bench. It also
// plays recordings back.
//
// Each gauge is reached through a link that goes away when it is unplugged.
// What a gauge sends while nobody has its port open, or faster than it is
// read, is lost, as on a real line.
//
// Goroutines: Bench starts one per plugged gauge that streams or answers, and
// one that cares for nothing else; Close waits for all of them.
package simulate
