package main

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// byteOrderMark begins the files of some programs and is none of their content.
const byteOrderMark = "\xef\xbb\xbf"

// newTableReader reads CSV whose lines that begin with # are remarks.
func newTableReader(content io.Reader) *csv.Reader {
	buffered := bufio.NewReader(content)
	if mark, _ := buffered.Peek(len(byteOrderMark)); string(mark) == byteOrderMark {
		_, _ = buffered.Discard(len(byteOrderMark)) // it is in the buffer
	}
	rows := csv.NewReader(buffered)
	rows.Comment = '#'
	return rows
}

// separated says when the line of column names is not separated by commas.
func separated(name string, rows *csv.Reader, header []string) error {
	line, column := rows.FieldPos(0)
	for sign, what := range map[string]string{";": "semicolons", "\t": "tabs"} {
		if len(header) == 1 && strings.Contains(header[0], sign) {
			return fmt.Errorf("%s:%d:%d: the cells are separated by %s: separate them by commas, and write a point as the decimal sign", name, line, column, what)
		}
	}
	return nil
}

// brokenTable places what encoding/csv complains about.
func brokenTable(name string, err error) error {
	var parse *csv.ParseError
	if !errors.As(err, &parse) {
		return fmt.Errorf("%s: %w", name, err)
	}
	if errors.Is(parse.Err, csv.ErrFieldCount) {
		return fmt.Errorf("%s:%d:%d: the line does not have as many cells as there are column names: write a comma for each, also for an empty one", name, parse.Line, parse.Column)
	}
	return fmt.Errorf("%s:%d:%d: %w: put quotes around the whole cell or leave them out", name, parse.Line, parse.Column, parse.Err)
}
