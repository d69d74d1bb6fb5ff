// Package chain says how the facts of a history are chained: their canonical form, the
// tree over those of a commit, the link from commit to commit, and the signed head. It is
// pure. docs/history.md defines the same for other programs.
package chain
