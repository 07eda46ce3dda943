package conversation

import (
	"strings"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A photo of the analyser on the cylinder, sent with the number or after it, goes to
// leader and crew. What they press is their own witnessed reading; a photo alone
// records nothing, and is kept nowhere but in the letter that carries it.

// photoLate is how long after the number a photo still belongs to it.
const photoLate = 10 * time.Minute

// photo passes on the photo that came with what was typed, or alone.
func (t *turn) photo() {
	r := t.photoOf()
	if r == nil {
		if strings.TrimSpace(t.event.Text) == "" { // what was typed with it has its answer
			t.say(message.Say("photo.alone", nil))
		}
		return
	}
	c, _ := t.trip.Reading(r.ID)
	a := message.Args{"name": t.nameOf(t.actor), "percent": message.Percent(r.Percent),
		"cylinder": message.Of(cylinderName(c))}
	m := message.Message{Lines: []message.Line{message.Loud("photo.asks", a)}, Photo: t.event.Photo,
		Buttons: [][]message.Button{
			oneButton("lphoto "+string(r.ID)+" yes", message.Say("photo.button.yes", a)),
			oneButton("lphoto "+string(r.ID)+" no", message.Say("photo.button.no", nil))}}
	sent := 0
	for _, p := range t.trip.People {
		if (p.Leader || p.Crew) && p.ID != t.actor && canBeTold(p) && seesPhotos(p) {
			t.tell(p.ID, roster.LevelWord, true, m)
			sent++
		}
	}
	if sent == 0 {
		t.say(message.Say("photo.nobody", nil))
		return
	}
	t.say(message.Say("photo.sent", a))
}

// seesPhotos tells whether somebody has an account of a chat: pages show none.
func seesPhotos(p *roster.Person) bool {
	for _, a := range p.Addresses {
		if a.Channel != "web" {
			return true
		}
	}
	return false
}

// photoOf is the reading that a photo shows: one that came with it, else the acting
// person's newest of the last minutes; nil when there is none.
func (t *turn) photoOf() *roster.Reading {
	if with := t.trip.ReadingsOf(t.actor, t.event.Ref); len(with) > 0 {
		return with[len(with)-1]
	}
	var newest *roster.Reading
	for _, c := range t.me().InUse() {
		r := c.Newest()
		if r == nil || r.By != t.actor || t.now.Sub(r.Said) > photoLate || t.trip.WasDived(c.Dive) {
			continue
		}
		if newest == nil || r.Said.After(newest.Said) {
			newest = r
		}
	}
	return newest
}

// photoPressed is the word of whoever looked at the photo: a reading of their own.
func photoPressed(t *turn, args []string) {
	c, r := t.trip.Reading(roster.ReadingID(argument(args, 0)))
	if c == nil || c.Newest() != r || r.By == t.actor || t.trip.WasDived(c.Dive) {
		t.questionOver()
		return
	}
	p, _ := t.trip.Cylinder(c.ID)
	if p.ID == t.actor {
		t.questionOver()
		return
	}
	if argument(args, 1) != "yes" {
		t.say(message.Say("photo.unclear", message.Args{"name": t.nameOf(p.ID)}))
		t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Say("photo.unclear.told", message.Args{
			"who": t.nameOf(t.actor), "cylinder": message.Of(cylinderName(c))})}})
		return
	}
	t.recordWitnessed(p, c, forData{Person: p.ID, Cylinder: c.ID, Percent: r.Percent, Analyser: r.Analyser,
		Taken: r.When(), NoAir: true})
}
