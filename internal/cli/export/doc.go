// Package export has the commands that write what is stored to files for other programs:
// as CSV (RFC 4180), as JSON lines with the messages of the contract, and as Parquet.
package export
