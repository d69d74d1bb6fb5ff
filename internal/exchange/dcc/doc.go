// Package dcc writes a check of a gauge as a digital calibration certificate, in XML by
// the schema DCC 3.1.2 with units of D-SI 2.1.0, the open form of the German metrology
// institute. It is pure; the same check is written to the same bytes.
//
// Lengths are in millimetres with every digit that they have. What is not known is not
// invented: a fact that the schema asks for and the station does not have is refused, with
// two exceptions. A maker that is not stated is written as "not stated", and the shop that
// made the check stands as its customer too. That the shop is no accredited laboratory is a
// statement of the document. An undecided check has no word of its own there: its conformity
// is left out and said as text.
package dcc
