// Package study does the arithmetic of gauge studies: repeatability and
// reproducibility of crossed and nested studies, the three-level study of the
// NIST/SEMATECH e-Handbook, one-way analysis of variance, bias, linearity,
// stability, and the indices of one gauge. It reads a CSV table from bytes and
// returns figures; whoever shows them chooses the words around them.
//
// Values have no unit here: what goes in in millimetres comes out in
// millimetres. They are taken apart exactly, as decimals, before any float is
// made, so that readings that differ in their last digits lose none. The
// results are shown to a person; nothing here decides a verdict of a job.
//
// Each formula names where it is published. "MSA manual" stands for the
// measurement systems analysis reference manual, 4th edition, quoted from
// memory; "e-Handbook" for the NIST/SEMATECH e-Handbook of Statistical Methods.
// A study that cannot give a number that means something is refused with an
// error that says why and what to do.
package study
