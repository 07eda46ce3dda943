package roster

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"
	"time"
)

// The head of a trip is its stored form apart from the people. Between two
// events little of it changes, and what was reminded and signed is most of it;
// so it is written part by part, and a part that is what it was is not written
// out again. As with everything that a trip remembers, a part is compared as a
// whole first; TestHeadIsTheTripAsJSON holds all of it against encoding/json.
type head struct {
	plan     part[planPart]
	course   part[coursePart]
	queue    part[queuePart]
	reminded part[remindedPart]
}

// The parts, in the order of Trip's fields and with their tags.
type (
	identityPart struct {
		ID      TripID `json:"id"`
		Schema  int    `json:"schema"`
		Version int64  `json:"version"`
		Shop    ShopID `json:"shop"`
	}
	lastPart struct {
		Next  int        `json:"next"`
		Order []PersonID `json:"order,omitempty"`
	}
)

// Head is the trip without its people as JSON: the fields of Trip in their
// order with this schema and version, and who is on the trip, in "order".
func (t *Trip) Head(schema int, version int64) ([]byte, error) {
	h := &t.knows().head
	order := make([]PersonID, len(t.People))
	for i, p := range t.People {
		order[i] = p.ID
	}
	first, err := json.Marshal(identityPart{t.ID, schema, version, t.Shop})
	if err != nil {
		return nil, err
	}
	parts := [][]byte{first, nil, nil, nil, nil, nil}
	for i, write := range []func() ([]byte, error){
		func() ([]byte, error) { return h.plan.json(planOf(t)) },
		func() ([]byte, error) { return h.course.json(courseOf(t)) },
		func() ([]byte, error) { return h.queue.json(queueOf(t)) },
		func() ([]byte, error) { return h.reminded.json(remindedPart{t.Reminded}) },
		func() ([]byte, error) { return json.Marshal(lastPart{t.Next, order}) },
	} {
		if parts[i+1], err = write(); err != nil {
			return nil, err
		}
	}
	return joined(parts), nil
}

// joined makes one object of several.
func joined(objects [][]byte) []byte {
	size := 0
	for _, o := range objects {
		size += len(o)
	}
	all := append(make([]byte, 0, size), '{')
	for _, o := range objects {
		o = bytes.TrimSuffix(bytes.TrimPrefix(o, []byte("{")), []byte("}"))
		if len(o) > 0 && len(all) > 1 {
			all = append(all, ',')
		}
		all = append(all, o...)
	}
	return append(all, '}')
}

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
