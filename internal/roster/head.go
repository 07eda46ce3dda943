package roster

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"time"
)

// The head of a trip is its stored form apart from the people, in parts that
// change at different times: a commit writes those that did. A part that is what
// it was is not made again. As with everything that a trip remembers, a part is
// compared as a whole first; TestHeadIsTheTripAsJSON holds all of it against
// encoding/json.
type head struct {
	first    part[firstPart]
	plan     part[planPart]
	course   part[coursePart]
	queue    part[queuePart]
	reminded part[remindedPart]
	next     part[nextPart]
}

// Head is a trip's head as it is stored: one document for each of HeadParts,
// together all fields of the trip but its version and its people. A part may be
// packed; see Unpack.
type Head [len(HeadParts)][]byte

// HeadParts are the names of the parts.
var HeadParts = [...]string{"data", "plan", "course", "queue", "reminded", "next"}

// firstPart is what hardly ever changes, and who is on the trip.
type firstPart struct {
	ID     TripID     `json:"id"`
	Schema int        `json:"schema"`
	Shop   ShopID     `json:"shop"`
	Order  []PersonID `json:"order,omitempty"`
}

func (f firstPart) same(g firstPart) bool {
	return f.ID == g.ID && f.Schema == g.Schema && f.Shop == g.Shop && slices.Equal(f.Order, g.Order)
}

func (f firstPart) copied() firstPart {
	f.Order = slices.Clone(f.Order)
	return f
}

// nextPart is the number that changes with each reading.
type nextPart struct {
	Next int `json:"next"`
}

func (n nextPart) same(m nextPart) bool { return n == m }

func (n nextPart) copied() nextPart { return n }

// Head is the trip as it is stored in form schema, without its people. What it
// returns is not written to.
func (t *Trip) Head(schema int) (Head, error) {
	h := &t.knows().head
	order := make([]PersonID, len(t.People))
	for i, p := range t.People {
		order[i] = p.ID
	}
	var all Head
	var errs [len(all)]error
	all[0], errs[0] = h.first.json(firstPart{t.ID, schema, t.Shop, order})
	all[1], errs[1] = h.plan.json(planOf(t))
	all[2], errs[2] = h.course.json(courseOf(t))
	all[3], errs[3] = h.queue.json(queueOf(t))
	all[4], errs[4] = h.reminded.json(remindedPart{t.Reminded})
	all[5], errs[5] = h.next.json(nextPart{t.Next})
	if err := errors.Join(errs[:]...); err != nil {
		return Head{}, err
	}
	return all, nil
}

// largePart is from what size on a part is packed, in bytes. Those that an
// ordinary event changes stay below it.
const largePart = 2048

// part is a part of the head as it was written last.
type part[T remembered[T]] struct {
	was     T
	written []byte
}

type remembered[T any] interface {
	same(T) bool
	copied() T
}

func (p *part[T]) json(now T) ([]byte, error) {
	if p.written != nil && p.was.same(now) {
		return p.written, nil
	}
	b, err := json.Marshal(now)
	if err != nil {
		return nil, err
	}
	if len(b) >= largePart {
		b = Pack(b)
	}
	p.was, p.written = now.copied(), b
	return b, nil
}

type remindedPart struct {
	Reminded map[string]time.Time `json:"reminded,omitempty"`
}

func (r remindedPart) same(s remindedPart) bool { return maps.Equal(r.Reminded, s.Reminded) }

func (r remindedPart) copied() remindedPart { return remindedPart{maps.Clone(r.Reminded)} }

type queuePart struct {
	Queue     Queue   `json:"queue"`
	GroupChat Address `json:"group_chat,omitzero"`
}

func queueOf(t *Trip) queuePart { return queuePart{t.Queue, t.GroupChat} }

func (q queuePart) same(r queuePart) bool {
	return q.GroupChat == r.GroupChat && slices.Equal(q.Queue.Waiting, r.Queue.Waiting) && maps.Equal(q.Queue.Serving, r.Queue.Serving)
}

func (q queuePart) copied() queuePart {
	q.Queue.Waiting, q.Queue.Serving = slices.Clone(q.Queue.Waiting), maps.Clone(q.Queue.Serving)
	return q
}
