// Package qif writes a job as a results document of QIF 3.0 (ISO 23952), the open
// standard for quality information: what was measured on which unit with which gauges,
// the limits, the values with their uncertainty, and what was decided of each. It is
// pure; the same job is written to the same bytes.
//
// What QIF has no place for is said as an attribute with a name of ours: the procedure
// and its hash, the decision rule as a code, probabilities, readings that do not count.
// What it asks for and a job does not have is not invented, with one exception: a
// characteristic in another unit than one of length must have a target, which is the
// middle of its two limits here. Where it has not both limits it is written as text.
package qif
