package shopapi

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"math"
	"net/http"
	"strconv"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// problem is a problem document as RFC 9457 describes it. Type is "about:blank":
// the status says it all; errors is the extension with every fault.
type problem struct {
	Type     string          `json:"type"`
	Title    string          `json:"title"`
	Status   int             `json:"status"`
	Detail   string          `json:"detail,omitempty"`
	Instance string          `json:"instance,omitempty"` // of an internal fault: what the log calls it
	Errors   []booking.Fault `json:"errors,omitempty"`
}

// refuse answers with a problem.
func refuse(w http.ResponseWriter, status int, detail string, list ...booking.Fault) {
	writeProblem(w, problem{Status: status, Detail: detail, Errors: list})
}

func writeProblem(w http.ResponseWriter, p problem) {
	p.Type, p.Title = "about:blank", http.StatusText(p.Status)
	write(w, p.Status, "application/problem+json", p)
}

// answer answers with JSON.
func answer(w http.ResponseWriter, status int, v any) { write(w, status, "application/json", v) }

func write(w http.ResponseWriter, status int, mediaType string, v any) {
	body, err := json.Marshal(v)
	if err != nil {
		http.Error(w, "internal error", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", mediaType)
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write(append(body, '\n'))
}

// failed answers what an error of the store or the door means. Nothing of an
// unknown error is shown: it gets an id that the log repeats.
func (a *api) failed(w http.ResponseWriter, r *http.Request, err error) {
	var no *booking.Refusal
	switch {
	case errors.As(err, &no):
		if no.After > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(max(1, int(math.Ceil(no.After.Seconds())))))
		}
		refuse(w, no.Status, no.Detail, no.Faults...)
	case errors.Is(err, roster.ErrNotFound):
		notFound(w)
	case errors.Is(err, roster.ErrConflict), errors.Is(err, delivery.ErrBusy):
		w.Header().Set("Retry-After", "1")
		refuse(w, http.StatusConflict, "The trip was being changed by somebody else all the time. Nothing was stored: "+
			"send the request again.")
	default:
		id := "urn:fault:" + rand.Text()[:12]
		a.log.Error("shop api", "fault", id, "method", r.Method, "route", r.Pattern, "err", err)
		w.Header().Set("Retry-After", "5")
		writeProblem(w, problem{Status: http.StatusServiceUnavailable, Instance: id, Detail: whenBroken(r.Method)})
	}
}

// whenBroken says what is known of a request that the store did not answer.
func whenBroken(method string) string {
	if method == http.MethodGet || method == http.MethodHead {
		return "This could not be read just now. Nothing was changed: ask again."
	}
	return "It is not certain that this was stored. Send it again, with the same Idempotency-Key if it had one."
}

func notFound(w http.ResponseWriter) {
	refuse(w, http.StatusNotFound, "There is nothing here under this name, or it belongs to another shop.")
}
