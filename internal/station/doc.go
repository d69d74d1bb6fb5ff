// Package station is the one place where a reading becomes a stored, published
// and evaluated fact, and where jobs are run.
//
// A single goroutine, Run, takes requests from gauges and people one by one,
// decides which facts they give, and stores everything that has come in since
// the last commit in one batch. Only when the batch is durable are its facts
// published and the requests answered: nobody acts on a reading that a power
// cut can take back. A job is a fold over its facts; the same fold makes it
// live, loads it after a restart and replays it for proof.
package station
