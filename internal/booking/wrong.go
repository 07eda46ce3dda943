package booking

import (
	"errors"
	"sync"

	"gasmuster/internal/message"
)

// wrong is what is wrong with a text that somebody typed, and what would be accepted.
type wrong struct{ message.Line }

func (w wrong) Error() string { return english(w.Line) }

func isWrong(key string, a message.Args) error { return wrong{message.Say(key, a)} }

// lineOf is what an error of this package's readers says is wrong.
func lineOf(err error) message.Line {
	var w wrong
	errors.As(err, &w)
	return w.Line
}

var words = sync.OnceValue(message.New)

// english is a line as programs read it.
func english(l message.Line) string { return words().Line(l, message.Reader{}) }
