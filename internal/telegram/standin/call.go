package standin

import (
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
)

// maxBody is what one request to the API may carry.
const maxBody = 50 << 20

// call is one request to a method.
type call struct {
	http   *http.Request
	method string
	params map[string]string
	files  map[string]file
}

type file struct {
	name string
	data []byte
}

// refusal is an error answer of the API.
type refusal struct {
	code       int
	text       string
	retryAfter int
	migrateTo  int64
}

func refuse(code int, format string, args ...any) *refusal {
	prefix := map[int]string{400: "Bad Request: ", 403: "Forbidden: ", 409: "Conflict: "}[code]
	return &refusal{code: code, text: prefix + fmt.Sprintf(format, args...)}
}

func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	c, no := s.read(r)
	if no != nil {
		s.reply(w, c, nil, no)
		return
	}
	fault := s.takeFault(c)
	if fault != nil && !fault.applies() {
		s.broken(w, c, fault, nil)
		return
	}
	result, no := s.run(c)
	if fault != nil {
		s.broken(w, c, fault, result)
		return
	}
	s.reply(w, c, result, no)
}

func (s *Server) run(c *call) (any, *refusal) {
	m := methods[c.method]
	for name := range c.params {
		if !m.takes(name) {
			return nil, refuse(400, "unknown parameter %q of %s", name, c.method)
		}
	}
	for name := range c.files {
		if !m.takes(name) {
			return nil, refuse(400, "unknown file %q of %s", name, c.method)
		}
	}
	for _, name := range m.required {
		if _, isFile := c.files[name]; c.params[name] == "" && !isFile {
			return nil, refuse(400, "parameter %q is required", name)
		}
	}
	return m.run(s, c)
}

// read takes a request apart: /bot<token>/<method>.
func (s *Server) read(r *http.Request) (*call, *refusal) {
	c := &call{http: r, params: map[string]string{}, files: map[string]file{}}
	token, method, ok := strings.Cut(strings.TrimPrefix(r.URL.Path, "/bot"), "/")
	c.method = method
	body := http.MaxBytesReader(nil, r.Body, maxBody)
	r.Body = body
	no := c.decode()
	switch {
	case !ok || !strings.HasPrefix(r.URL.Path, "/bot") || !strings.Contains(token, ":"):
		return c, &refusal{code: 404, text: "Not Found"}
	case token != s.Token:
		return c, &refusal{code: 401, text: "Unauthorized"}
	case methods[method].run == nil:
		return c, &refusal{code: 404, text: "Not Found: method not found"}
	}
	return c, no
}

func (c *call) decode() *refusal {
	r := c.http
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	switch kind {
	case "application/json":
		return c.decodeJSON()
	case "multipart/form-data":
		return c.decodeMultipart()
	}
	if err := r.ParseForm(); err != nil {
		return refuse(400, "can't read the form: %v", err)
	}
	for name, v := range r.Form {
		c.params[name] = v[0]
	}
	return nil
}

func (c *call) decodeJSON() *refusal {
	var raw map[string]json.RawMessage
	if err := json.NewDecoder(c.http.Body).Decode(&raw); err != nil {
		return refuse(400, "can't parse JSON object")
	}
	for name, v := range raw {
		var text string
		if json.Unmarshal(v, &text) != nil {
			text = string(v)
		}
		c.params[name] = text
	}
	return nil
}

func (c *call) decodeMultipart() *refusal {
	parts, err := c.http.MultipartReader()
	if err != nil {
		return refuse(400, "can't read the upload: %v", err)
	}
	for {
		p, err := parts.NextPart()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return refuse(400, "can't read the upload: %v", err)
		}
		data, err := io.ReadAll(p)
		if err != nil {
			return refuse(400, "can't read the upload: %v", err)
		}
		if p.FileName() != "" {
			c.files[p.FormName()] = file{p.FileName(), data}
		} else {
			c.params[p.FormName()] = string(data)
		}
	}
}

func (c *call) number(name string) int64 {
	n, _ := strconv.ParseInt(c.params[name], 10, 64)
	return n
}

func (c *call) flag(name string) bool { return c.params[name] == "true" || c.params[name] == "1" }

// reply answers in the API's envelope.
func (s *Server) reply(w http.ResponseWriter, c *call, result any, no *refusal) {
	status, body := 200, map[string]any{"ok": true, "result": result}
	if no != nil {
		status, body = no.code, no.body()
		if no.retryAfter > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(no.retryAfter))
		}
	}
	raw, _ := json.Marshal(body)
	s.record(c, status, string(raw))
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(raw)
}

func (n *refusal) body() map[string]any {
	b := map[string]any{"ok": false, "error_code": n.code, "description": n.text}
	extra := map[string]any{}
	if n.retryAfter > 0 {
		extra["retry_after"] = n.retryAfter
	}
	if n.migrateTo != 0 {
		extra["migrate_to_chat_id"] = n.migrateTo
	}
	if len(extra) > 0 {
		b["parameters"] = extra
	}
	return b
}
