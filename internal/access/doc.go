// Package access is the doors of the daemon: where it listens, who may come in there, and
// what each of them may do.
//
// Who may do what stands in one table: see Needs. Who there is stands in the history as
// facts, and Register is the fold over them. By what a caller is known is a Door.
package access
