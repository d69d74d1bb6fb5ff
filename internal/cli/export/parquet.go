package export

import (
	"io"
	"slices"
	"strings"
	"time"

	"github.com/parquet-go/parquet-go"

	"gauged/internal/cli/app"
)

// rowGroup is after how many rows a part of a file is written, so that memory stays the
// same however long the file gets.
const rowGroup = 50_000

// parquetWriter writes one entry a row. Each column may be without a value; a text is
// never without.
type parquetWriter struct {
	columns []column // in the order of the file, which is that of their names
	to      *parquet.GenericWriter[any]
	row     parquet.Row
	rows    int
}

func newParquet(to io.Writer, columns []column) *parquetWriter {
	sorted := slices.Clone(columns)
	slices.SortFunc(sorted, func(a, b column) int { return strings.Compare(a.name, b.name) })
	schema := parquet.Group{}
	for _, c := range sorted {
		schema[c.name] = nodeOf(c.kind)
	}
	return &parquetWriter{
		columns: sorted,
		to:      parquet.NewGenericWriter[any](to, parquet.NewSchema("entries", schema), parquet.Compression(&parquet.Snappy)),
	}
}

func nodeOf(k app.Kind) parquet.Node {
	switch k {
	case app.KindInteger:
		return parquet.Optional(parquet.Int(64))
	case app.KindNumber:
		return parquet.Optional(parquet.Leaf(parquet.DoubleType))
	case app.KindBool:
		return parquet.Optional(parquet.Leaf(parquet.BooleanType))
	case app.KindBytes:
		return parquet.Optional(parquet.Leaf(parquet.ByteArrayType)) // no text: a frame may be anything
	case app.KindTime:
		return parquet.Optional(parquet.Timestamp(parquet.Nanosecond))
	}
	return parquet.Encoded(parquet.String(), &parquet.RLEDictionary)
}

func (w *parquetWriter) write(entry any) error {
	w.row = w.row[:0]
	for i, c := range w.columns {
		if c.kind == app.KindText {
			w.row = append(w.row, parquet.ByteArrayValue([]byte(c.text(entry))).Level(0, 0, i))
			continue
		}
		value := c.value(entry)
		if value == nil {
			w.row = append(w.row, parquet.NullValue().Level(0, 0, i))
			continue
		}
		switch v := value.(type) {
		case time.Time:
			value = v.UnixNano()
		case []byte:
			w.row = append(w.row, parquet.ByteArrayValue(v).Level(0, 1, i))
			continue
		}
		w.row = append(w.row, parquet.ValueOf(value).Level(0, 1, i))
	}
	if _, err := w.to.WriteRows([]parquet.Row{w.row}); err != nil {
		return err
	}
	if w.rows++; w.rows%rowGroup == 0 {
		return w.to.Flush()
	}
	return nil
}

func (w *parquetWriter) end() error { return w.to.Close() }
