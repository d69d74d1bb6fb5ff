// Package job is a job as a fold over its stored facts. The same fold makes a job
// live, loads it after a restart and replays it for proof. A Job never changes: each
// fact gives a new one. Facts are read through small interfaces; nothing is stored
// here, and what may be done next is decided by package station.
package job
