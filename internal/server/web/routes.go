package web

import (
	"cmp"
	"encoding/json"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"gauged/api"
	"gauged/internal/access"
	"gauged/internal/gauge"
)

// idempotencyKey is the header with the id of a request.
const idempotencyKey = "Idempotency-Key"

// documentCall is the call that says what the daemon is: who may make it reads the document too.
const documentCall = "/gauged.v1.ServerService/GetServerInfo"

// route is a path of the document: what is served is what that says.
type route struct {
	match   *regexp.Regexp
	fields  []string            // that stand in the path
	queries map[string][]string // of each method, the words of its query
	bodies  map[string]bool     // methods that take a body
	events  bool                // it streams them
	calls   map[string]string   // of each method, the call of gRPC that it is
	once    map[string]bool     // methods that take an id under which they are carried out once
	next    http.Handler        // takes what the route lets pass
}

// routesOf reads the paths of the document, those that say more first.
func routesOf(document []byte) (routes []route, err error) {
	var d struct {
		Paths map[string]map[string]struct {
			OperationID string
			Tags        []string
			Parameters  []struct{ Name, In, Style string }
			RequestBody json.RawMessage
			Responses   map[string]struct {
				Content map[string]json.RawMessage
			}
		}
	}
	if err := json.Unmarshal(document, &d); err != nil {
		return nil, err
	}
	variable := regexp.MustCompile(`\\\{[a-z_]+\\\}`)
	for at, operations := range d.Paths {
		r := route{queries: map[string][]string{}, bodies: map[string]bool{}, calls: map[string]string{}, once: map[string]bool{}}
		pattern := variable.ReplaceAllStringFunc(regexp.QuoteMeta(at), func(name string) string {
			r.fields = append(r.fields, strings.Trim(name, `\{}`))
			return "([^/]+)"
		})
		r.match = regexp.MustCompile("^" + pattern + "$")
		for method, o := range operations {
			method = strings.ToUpper(method)
			r.bodies[method] = len(o.RequestBody) > 0
			r.queries[method] = []string{}
			for _, p := range o.Parameters {
				switch {
				case p.In == "query" && p.Style == "deepObject": // one word for each name
					r.queries[method] = append(r.queries[method], p.Name+named)
				case p.In == "query":
					r.queries[method] = append(r.queries[method], p.Name)
				case p.Name == idempotencyKey:
					r.once[method] = true
				}
			}
			r.calls[method] = documentCall
			if len(o.Tags) == 1 { // the document itself has none
				r.calls[method] = "/gauged.v1." + o.Tags[0] + "/" + o.OperationID
			}
			_, streams := o.Responses["200"].Content["text/event-stream"]
			r.events = r.events || streams
		}
		routes = append(routes, r)
	}
	slices.SortFunc(routes, func(a, b route) int {
		return cmp.Or(cmp.Compare(len(a.fields), len(b.fields)), cmp.Compare(len(b.match.String()), len(a.match.String())), strings.Compare(a.match.String(), b.match.String()))
	})
	return routes, nil
}

// documented lets requests pass that the document has: with its path, its method, and
// nothing in the query or beside it that the call would not read. Who may not make the
// call is refused before its body is read, and only a few long bodies are read at once.
func (s *site) documented(next http.Handler) (http.Handler, error) {
	routes, err := routesOf(api.OpenAPI)
	if err != nil {
		return nil, err
	}
	places := newPlaces()
	for i := range routes {
		routes[i].next = access.FewLongBodies(routes[i].reading(places.in(&routes[i], next)))
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		at := r.URL.EscapedPath()
		i := slices.IndexFunc(routes, func(one route) bool { return one.match.MatchString(at) })
		if i < 0 || path.Clean(at) != at {
			refuse(w, r, noPath(r))
			return
		}
		one := &routes[i]
		if r.Method == http.MethodHead && !one.events { // of the answer to GET the head alone is sent
			r = r.Clone(r.Context())
			r.Method = http.MethodGet
		}
		if err := s.mayCall(r, one); err != nil {
			refuse(w, r, err)
			return
		}
		if err := one.takes(w, r); err != nil {
			refuse(w, r, err)
			return
		}
		one.next.ServeHTTP(w, r)
	}), nil
}

// mayCall refuses who may not make the call that a request is for.
func (s *site) mayCall(r *http.Request, one *route) error {
	call, ok := one.calls[r.Method]
	if !ok {
		return nil // a method that there is not
	}
	caller, _ := access.From(r.Context())
	err := caller.Allow(access.Call(call))
	if err != nil {
		s.Guard.Refused(access.Subject(caller, r.RemoteAddr), access.Call(call), err)
	}
	return err
}

// takes refuses a request that the route does not have.
func (one *route) takes(w http.ResponseWriter, r *http.Request) error {
	words, ok := one.queries[r.Method]
	if !ok {
		w.Header().Set("Allow", strings.Join(one.methods(), ", "))
		return noMethod(r)
	}
	if !one.bodies[r.Method] && (r.ContentLength != 0 || len(r.TransferEncoding) > 0) {
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.no-body")}
	}
	ids := r.Header.Values(idempotencyKey)
	switch {
	case len(ids) > 1:
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.two-keys")}
	case len(ids) == 1 && ids[0] == "": // as of a variable that is not set: it would be carried out each time
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.empty-key")}
	case len(ids) == 1 && !one.once[r.Method] && r.Method != http.MethodGet:
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.no-key")}
	}
	said := append([]string{r.URL.Path}, ids...)
	for name, values := range r.URL.Query() {
		if utf8.ValidString(name) && !slices.Contains(words, asDocumented(name)) {
			args := []gauge.Arg{gauge.Text("name", name)}
			if len(words) > 0 {
				args = append(args, gauge.Texts("names", words))
			}
			return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.query", args...)}
		}
		said = append(append(said, name), values...)
	}
	for _, text := range said {
		if !utf8.ValidString(text) {
			return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.no-text", gauge.Text("text", strings.ToValidUTF8(text, "?")))}
		}
	}
	return nil
}

// named stands behind the word of a query that has a name in brackets: labels[order].
const named = "[NAME]"

// asDocumented is a word of a query as the route has it.
func asDocumented(word string) string {
	if i := strings.IndexByte(word, '['); i > 0 && strings.HasSuffix(word, "]") {
		return word[:i] + named
	}
	return word
}

// methods are those that the route has.
func (one *route) methods() (methods []string) {
	for method := range one.queries {
		methods = append(methods, method)
		if method == http.MethodGet && !one.events {
			methods = append(methods, http.MethodHead)
		}
	}
	slices.Sort(methods)
	return methods
}
