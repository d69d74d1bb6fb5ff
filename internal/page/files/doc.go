// Package files writes the shop's files in the words of a person: procedures and part
// families, what differs between two versions, and what is wrong with one.
package files
