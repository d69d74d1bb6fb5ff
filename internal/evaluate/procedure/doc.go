// Package procedure is the language of a shop: what a procedure and a part family say,
// the readers of their files, how readings are typed for them, and the procedure of the
// next round. Package evaluate makes a verdict of them.
//
// What a file is worth when it is evaluated - its examples, a preload that is put in
// twice, limits that are too narrow - is tried by who reads it: Read takes a function.
// Lengths are whole picometres, limits may be formulas; there is no float here.
package procedure
