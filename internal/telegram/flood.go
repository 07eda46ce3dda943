package telegram

import (
	"sync"
	"time"

	"github.com/hashicorp/golang-lru/v2/simplelru"
	"golang.org/x/time/rate"

	"gasmuster/internal/conversation"
)

// What one account may say: far more than two thumbs need, a minute's worth at
// once. What is counted lives in this process alone: a limit against floods
// needs to be neither shared nor exact.
const (
	saidAtOnce   = 60
	saidEvery    = time.Second
	accountsKept = 20_000 // at about 150 bytes
)

// flood holds back accounts that write without end: each message is an answer
// to send, a line of the log and a change of the trip that others wait for.
type flood struct {
	mu       sync.Mutex
	accounts *simplelru.LRU[int64, *account]
}

type account struct {
	budget *rate.Limiter
	warned bool // since the budget last had something in it
}

func newFlood() *flood {
	l, err := simplelru.NewLRU[int64, *account](accountsKept, nil)
	if err != nil {
		panic("telegram: a cache needs a size") // the constant above
	}
	return &flood{accounts: l}
}

// over tells whether an account has used its budget up, and whether that is to
// be said: once, until there is budget again.
func (f *flood) over(id int64, now time.Time) (over, say bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	a, known := f.accounts.Get(id)
	if !known || a.budget.TokensAt(now) >= 1 {
		return false, false
	}
	say = !a.warned
	a.warned = true
	return true, say
}

// took counts one message that was handled: what has to come again because the
// store was away is not held against anybody.
func (f *flood) took(id int64, now time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	a, known := f.accounts.Get(id)
	if !known {
		a = &account{budget: rate.NewLimiter(rate.Every(saidEvery), saidAtOnce)}
		f.accounts.Add(id, a)
	}
	a.warned = a.warned && a.budget.TokensAt(now) < saidAtOnce/2
	a.budget.AllowN(now, 1)
}

// saying are the kinds of events that a person causes at will.
var saying = map[conversation.Kind]bool{conversation.Text: true, conversation.Edited: true, conversation.Button: true}
