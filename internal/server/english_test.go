package server

import (
	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/wire"
	"gauged/internal/words"
)

// english words a message of the contract.
func english(m *gaugedv1.Message) string { return words.In(words.English).Tell(wire.FromMessage(m)) }
