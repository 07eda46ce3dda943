// Package rdb keeps trips in Redis, one server or a cluster (7.0 or newer).
//
// A trip lives in one of 16 buckets, chosen by a hash of its id. The bucket is
// the hash tag of every key that a commit touches, so that one script can write
// them all, on a cluster too. keys.go is the only place that builds keys:
//
//	of a trip, in its bucket {bNN}; all expire together (Commit.Expire)
//	  gm:{bNN}:trip:T      hash    v (version), by (tokens of the last commits, newest first),
//	                               in JSON: data (id, schema, shop, order of the people), plan,
//	                               course, queue, gate, rounds, next (last number given), person:P,
//	                               noted:P (how many acts), cylinder:C, session:P (dialogue state)
//	  gm:{bNN}:log:T       list    acts, oldest first
//	  gm:{bNN}:events:T    list    news for the shop's systems, oldest first
//	  gm:{bNN}:sources:T   string  LF source CR minute, ...: ids of events, oldest first, 48 h, 150 KB at most
//	  gm:{bNN}:told:T      hash    sent (how many of the news), attempts, since (ms)
//	  gm:{bNN}:out:T       hash    outbox: address -> "lease number:level number:level ...",
//	                               in the order of sending; number -> envelope.
//	                               lease: "-"; a token: taken under it, also when it ran out;
//	                               "=token": put back under it. Behind the level of what was
//	                               taken before: "/attempts", and "u" when one may have arrived
//	  gm:{bNN}:dead:T      list    dead letters
//	  gm:{bNN}:chat:T      zset    chat pages: person NUL number entry
//	  gm:{bNN}:chatid:T    hash    person NUL entry id -> number; "" -> last number
//
//	of a bucket; a queue is "T|channel:id", all messages of one trip to one address
//	  gm:{bNN}:due         zset    trip by wake-up, ms
//	  gm:{bNN}:expiry      zset    trip|shop by expiry, ms
//	  gm:{bNN}:shop:S      zset    trip by departure, ms
//	  gm:{bNN}:seq         string  last number given to a message: the instant, ms, a second
//	                               back, or one more than the last
//	  gm:{bNN}:ready       zset    queue by band * 1e14 + when. The band is its level, that of
//	                               its most urgent message, and as many more as there
//	                               are levels while it is leased. when is the end of the
//	                               lease or the instant from which it may be sent, ms;
//	                               of a fresh one its head's number, which keeps the
//	                               order of arrival over all buckets
//	  gm:{bNN}:news        zset    trip|shop with events to tell, by the instant from which
//	                               they may be, or the end of their lease, ms
//	  gm:{bNN}:teller      hash    trip|shop -> token of the lease
//	  gm:{b00}:ping        string  written by Ping
//
//	of an address (expires after its last trip)
//	  gm:{who:C:ID}:record hash    seat:T -> seat, current, language, units, host ("id generation"),
//	                               talk ("ms state")
//	  gm:{who:C:ID}:claims hash    source -> "ms trip", 48 h
//
//	of the deployment
//	  gm:{hosts}:all       hash    id -> host
//
//	of a shop
//	  gm:{shops}:all       hash    id -> shop
//	  gm:{shops}:keys      hash    key hash -> id
//	  gm:{idem:S}:KEY      hash    body, answer; 24 h
//
//	  gm:{desk:S}:in:H     string  "epoch mark" of a session at the desk, 12 h; H is the hash of its token
//	  gm:{desk:S}:link:H   string  a sign-in link that was not used yet, 24 h
//	  gm:{desk:S}:epoch    string  counts how often everybody was signed out
//	  gm:{hook:S}:endpoint hash    endpoint (JSON), id, failing, succeeded, disabled (ms), reason
//	  gm:{hook:S}:log      zset    deliveries (JSON) by time, ms
//
//	of a sending limit; windows of one budget B/W lie together, as gm:{limit:B}:W:slots
//	  gm:{limit:B}:slots   zset    slot by the instant it becomes free, ms
//	  gm:{limit:B}:pause   string  "until set": until when nothing is sent, when that was said, ms
//	  gm:{limit:B}:wanted  hash    process -> "level until": it waits for a place for a message of
//	                               that level, and asks again by until, ms
package rdb

import (
	"fmt"
	"hash/fnv"
	"strings"

	"gasmuster/internal/roster"
)

// buckets is how many buckets trips are spread over. Changing it loses them.
const buckets = 16

// bucket is one hash tag.
type bucket int

func bucketOf(id roster.TripID) bucket {
	h := fnv.New32a()
	_, _ = h.Write([]byte(id))
	return bucket(h.Sum32() % buckets)
}

// tags are the buckets as keys begin with them.
var tags = func() (t [buckets]string) {
	for b := range t {
		t[b] = fmt.Sprintf("gm:{b%02d}:", b)
	}
	return t
}()

func (b bucket) key(name string) string { return tags[b] + name }

func (b bucket) due() string                       { return b.key("due") }
func (b bucket) expiry() string                    { return b.key("expiry") }
func (b bucket) shop(id roster.ShopID) string      { return b.key("shop:" + string(id)) }
func (b bucket) seq() string                       { return b.key("seq") }
func (b bucket) ready() string                     { return b.key("ready") }
func (b bucket) news() string                      { return b.key("news") }
func (b bucket) teller() string                    { return b.key("teller") }
func pingKey() string                              { return bucket(0).key("ping") }
func tripKey(name string, id roster.TripID) string { return bucketOf(id).key(name + ":" + string(id)) }

// tripKeys are all keys of a trip, in the order that erase.lua takes them.
func tripKeys(id roster.TripID) []string {
	var keys []string
	for _, name := range []string{"trip", "log", "events", "sources", "out", "told", "dead", "chat", "chatid"} {
		keys = append(keys, tripKey(name, id))
	}
	return keys
}

// address is how an address is written inside keys and queues.
func address(a roster.Address) string { return a.Channel + ":" + a.ID }

// addressOf reads what address wrote.
func addressOf(s string) roster.Address {
	channel, chat, _ := strings.Cut(s, ":")
	return roster.Address{Channel: channel, ID: chat}
}

// queue names all messages of one trip to one address.
func queue(id roster.TripID, a roster.Address) string { return string(id) + "|" + address(a) }

// splitQueue takes a queue's name apart again.
func splitQueue(q string) (roster.TripID, string) {
	id, addr, _ := strings.Cut(q, "|")
	return roster.TripID(id), addr
}

func recordKey(a roster.Address) string { return "gm:{who:" + address(a) + "}:record" }
func claimsKey(a roster.Address) string { return "gm:{who:" + address(a) + "}:claims" }

func hostsKey() string    { return "gm:{hosts}:all" }
func shopsKey() string    { return "gm:{shops}:all" }
func shopKeysKey() string { return "gm:{shops}:keys" }
func idemKey(shop roster.ShopID, key string) string {
	return "gm:{idem:" + string(shop) + "}:" + key
}

func deskKey(shop roster.ShopID, name string) string { return "gm:{desk:" + string(shop) + "}:" + name }

func endpointKey(shop roster.ShopID) string   { return "gm:{hook:" + string(shop) + "}:endpoint" }
func deliveriesKey(shop roster.ShopID) string { return "gm:{hook:" + string(shop) + "}:log" }

func slotsKey(limit string) string  { return limitKey(limit, "slots") }
func pauseKey(limit string) string  { return limitKey(limit, "pause") }
func wantedKey(limit string) string { return limitKey(limit, "wanted") }

// limitKey keeps the windows of one budget together: see roster.Window.
func limitKey(limit, kind string) string {
	budget, rest, _ := strings.Cut(limit, "/")
	if rest != "" {
		rest += ":"
	}
	return "gm:{limit:" + budget + "}:" + rest + kind
}
