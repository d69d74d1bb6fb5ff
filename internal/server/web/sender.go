package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"time"

	"google.golang.org/grpc/status"

	"gauged/internal/words"
)

// sender writes server-sent events (HTML Living Standard, 9.2) until one cannot be sent.
type sender struct {
	w       http.ResponseWriter
	to      *http.ResponseController
	stretch string // of the numbers, which stands before each of them in an id
	err     error
}

func (s *sender) text(text string) {
	if s.err != nil {
		return
	}
	if s.err = s.to.SetWriteDeadline(time.Now().Add(slowest)); s.err != nil {
		return
	}
	if _, s.err = io.WriteString(s.w, text); s.err == nil {
		s.err = s.to.Flush()
	}
}

// event sends an event, with an id where one can go on behind it.
func (s *sender) event(e event) {
	data, err := form.Marshal(e.data)
	if err != nil {
		s.err = err
		return
	}
	id := ""
	if e.seq > 0 || e.name == "start" {
		id = fmt.Sprintf("id: %s.%d\n", s.stretch, e.seq)
	}
	s.text(fmt.Sprintf("event: %s\n%sdata: %s\n\n", e.name, id, data))
}

// end says why a stream ends.
func (s *sender) end(r *http.Request, err error) {
	st := status.Convert(err)
	p := problemOf(st, words.Preferred(r.Header.Get("Accept-Language")))
	p.Status = statusOf(st.Code())
	p.Title = http.StatusText(p.Status)
	data, err := json.Marshal(p)
	if err != nil {
		s.err = err
		return
	}
	s.text(fmt.Sprintf("event: end\ndata: %s\n\n", data))
}
