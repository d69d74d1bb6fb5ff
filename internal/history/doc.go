// Package history is the durable, append-only record of a station: every
// reading, rejected frame, gauge state, file version and job step, numbered
// from 1 without holes.
//
// # Assumptions
//
// What fsync reports as written survives a power cut. A sector of 512 bytes
// is written whole or not at all. The directory lies on a local file system
// with working file locks and shared memory (on Linux open file description
// locks, kernel 3.15). Nobody else writes to the file. A disk that lies about
// fsync loses data whatever is promised here.
//
// # Promises
//
// When Append returns nil, its facts survive a crash of the program and of
// the machine. When it returns an error, none of its facts is visible. If the
// machine stops while Append runs, the facts are afterwards all there or all
// absent. Stored facts never change: the file itself refuses UPDATE and
// DELETE. One process at a time has a history open.
package history
