package telegram

import (
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"
)

// fault is a call to the Bot API that failed, with everything that can be
// known about why. Its text never holds the token: addresses are left out and
// what remains is scrubbed.
type fault struct {
	method      string
	status      int    // HTTP status, 0 when no answer came
	code        int    // error_code of the answer, 0 when the answer was none of the API's
	description string // the server's words, cut where they would quote a message
	retryAfter  time.Duration
	migrateTo   int64
	maybeDone   bool // the request may have reached the server and no answer says what became of it
	cause       error
}

// Error tells method, status and reason.
func (f *fault) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:", f.method)
	if f.status != 0 {
		fmt.Fprintf(&b, " status %d", f.status)
	}
	if f.code != 0 && f.code != f.status {
		fmt.Fprintf(&b, " code %d", f.code)
	}
	if f.description != "" {
		fmt.Fprintf(&b, " %s", f.description)
	}
	if f.cause != nil {
		fmt.Fprintf(&b, " %v", f.cause)
	}
	return b.String()
}

// Unwrap gives what lies below, for errors.Is with the context's errors.
func (f *fault) Unwrap() error { return f.cause }

// says tells whether the description contains words, whatever their case:
// descriptions are no stable contract, so the code is looked at first.
func (f *fault) says(words ...string) bool {
	text := strings.ToLower(f.description)
	for _, w := range words {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// blind is an error whose text was rebuilt without the secret; errors.Is and
// errors.As still see what it was made of.
type blind struct {
	text string
	err  error
}

func (b *blind) Error() string { return b.text }
func (b *blind) Is(target error) bool {
	return errors.Is(b.err, target)
}

// hide removes the token, and every address it could stand in, from an error.
// net/http writes the whole URL, and so the token, into each of its errors.
func hide(err error, token string) error {
	if err == nil {
		return nil
	}
	var address *url.Error
	for errors.As(err, &address) {
		err = address.Err
	}
	return &blind{text: scrub(err.Error(), token), err: err}
}

// hidden stands for a secret in a text.
const hidden = "[token]"

// scrub replaces the token, as it is and as it looks in a URL.
func scrub(text, token string) string {
	if token == "" {
		return text
	}
	_, secret, _ := strings.Cut(token, ":")
	for _, form := range []string{token, url.PathEscape(token), url.QueryEscape(token), secret} {
		if form != "" {
			text = strings.ReplaceAll(text, form, hidden)
		}
	}
	return text
}
