package app

import (
	"bufio"
	"context"
	"io"
)

// ReadLines hands on the lines of r. A read that blocks cannot be broken off:
// the goroutine ends with its input, or with the program.
func ReadLines(ctx context.Context, r io.Reader) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		scanner := bufio.NewScanner(r)
		for scanner.Scan() {
			select {
			case lines <- scanner.Text():
			case <-ctx.Done():
				return
			}
		}
	}()
	return lines
}
