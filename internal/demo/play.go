package demo

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// player plays the script in the terminal: it moves the clock, lets people type
// and press, prints what the service says, and compares the day with the script.
type player struct {
	s        *service
	ctx      context.Context
	out      io.Writer
	pause    func(time.Duration)
	day      string
	lastRead map[roster.PersonID]string // entry up to which a page was printed
	printed  map[string]bool            // kinds of messages that were printed whole
	actor    string                     // whose answer is printed first, and whole
	differed []string
	number   int
	aside    message.Message // what was said last to somebody on no trip
}

// errUnplayable ends the play: the step after this one would make no sense.
var errUnplayable = errors.New("the script can't go on")

// runPlay is "bot demo --play": 0 when the day ended as scripted.
func runPlay(ctx context.Context, script func(*player), fast bool, stdout, stderr io.Writer) int {
	pause := func(d time.Duration) {
		select {
		case <-ctx.Done():
		case <-time.After(d):
		}
	}
	if fast {
		pause = func(time.Duration) {}
	}
	differed, err := play(ctx, script, stdout, pause)
	if ctx.Err() != nil {
		fmt.Fprintln(stderr, "bot demo: stopped before the day was over")
		return exitError
	}
	for _, d := range differed {
		fmt.Fprintf(stderr, "bot demo: the day differed from the script: %s\n", d)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bot demo: %v\n", err)
	}
	if err != nil || len(differed) > 0 {
		return exitError
	}
	return exitOK
}

// play plays the whole script; it returns what differed from it.
func play(ctx context.Context, script func(*player), out io.Writer, pause func(time.Duration)) (differed []string,
	err error) {
	s, err := start(ctx, "http://127.0.0.1", evening)
	if err != nil {
		return nil, err
	}
	defer s.stop()
	p := &player{s: s, ctx: ctx, out: out, pause: pause, lastRead: map[roster.PersonID]string{},
		printed: map[string]bool{}}
	defer func() {
		if v := recover(); v != nil {
			if e, ok := v.(error); !ok || !errors.Is(e, errUnplayable) {
				panic(v)
			}
			differed, err = p.differed, v.(error)
		}
	}()
	script(p)
	return p.differed, ctx.Err()
}

// fail ends the play with what is in the way.
func (p *player) fail(format string, args ...any) {
	panic(fmt.Errorf("%w: "+format, append([]any{errUnplayable}, args...)...))
}

// at lets the time go by until t, and prints what is said meanwhile.
func (p *player) at(t time.Time) {
	for now := p.s.clock.Now(); now.Before(t); now = p.s.clock.Now() {
		if err := p.s.moveTo(p.ctx, earlier(now.Add(time.Minute), t)); err != nil {
			p.fail("%v", err)
		}
		p.heard()
	}
}

// after lets some minutes go by.
func (p *player) after(minutes int) {
	p.at(p.s.clock.Now().Add(time.Duration(minutes) * time.Minute))
}

// tell prints a line of the narrator.
func (p *player) tell(text string) {
	fmt.Fprintf(p.out, "\n%s\n", text)
	p.read(text)
}

// read waits as long as a text takes to read.
func (p *player) read(text string) {
	p.pause(time.Duration(utf8.RuneCountInString(text))*25*time.Millisecond + 400*time.Millisecond)
}

// opens lets people open their pages, as they do when they get their links.
func (p *player) opens(names ...string) {
	for _, name := range names {
		p.stamp(fmt.Sprintf("%s opens the link", name))
		p.does(name, delivery.Inbound{Kind: conversation.Join})
	}
}

// says lets somebody type.
func (p *player) says(name, text string) {
	p.stamp(fmt.Sprintf("%s: %s", name, text))
	p.does(name, delivery.Inbound{Kind: conversation.Text, Text: text})
}

// presses lets somebody press the newest button whose words begin with verb and
// hold all of args: what is not offered can't be pressed.
func (p *player) presses(name, verb string, args ...string) {
	label, do := p.offered(name, verb, args...)
	if do == "" {
		p.fail("%s is offered no button %q %v", name, verb, args)
	}
	p.stamp(fmt.Sprintf("%s presses [%s]", name, label))
	p.does(name, delivery.Inbound{Kind: conversation.Button, Do: do})
}

// offered is the newest such button among what was said to somebody, "" for none.
func (p *player) offered(name, verb string, args ...string) (label, do string) {
	for _, e := range slices.Backward(p.page(name, "")) {
		if label, do = p.buttonOf(name, p.said(e), verb, args); do != "" {
			return label, do
		}
	}
	return p.buttonOf(name, p.aside, verb, args)
}

func (p *player) buttonOf(name string, m message.Message, verb string, args []string) (label, do string) {
	for _, row := range m.Buttons {
		for _, b := range row {
			if fits(strings.Fields(b.Do), verb, args) {
				return p.s.Renderer.Line(b.Label, p.reader(name)), b.Do
			}
		}
	}
	return "", ""
}

func fits(words []string, verb string, args []string) bool {
	if len(words) == 0 || words[0] != verb {
		return false
	}
	for _, a := range args {
		if !slices.Contains(words, a) {
			return false
		}
	}
	return true
}

// does sends an event through the door as the page of that person would.
func (p *player) does(name string, in delivery.Inbound) {
	p.actor = ""
	if in.Kind != conversation.Join {
		p.actor = name
	}
	p.s.clock.forward(p.s.clock.Now().Add(20 * time.Second)) // nobody types two messages at once
	g := p.s.person(name)
	p.number++
	in.Source = fmt.Sprintf("web:%s:%d", g.ID, p.number)
	in.Ref, in.At, in.Trip, in.Person = in.Source, p.s.clock.Now(), p.s.trip, g.ID
	in.From = delivery.WebAddress(p.s.trip, g.ID)
	if g.Chat != (roster.Address{}) {
		in.Person, in.From, in.Name = "", g.Chat, g.Name
	}
	reply, err := p.s.Door.Handle(p.ctx, in)
	if err != nil {
		p.fail("%s: %v", name, err)
	}
	if reply != nil {
		p.aside = reply.Message
		p.print(name, reply.Message)
	}
	if err := p.s.settle(p.ctx); err != nil {
		p.fail("%v", err)
	}
	p.heard()
}

// shop makes one call of the shop's API and tells what the shop did.
func (p *player) shop(what, method, path, body string) {
	p.stamp("The shop " + what)
	if status, answer := p.s.call(method, p.s.path(path), body); status >= 300 {
		p.fail("the shop's call %s %s was refused: %d %s", method, path, status, answer)
	}
	if err := p.s.settle(p.ctx); err != nil {
		p.fail("%v", err)
	}
	p.heard()
}

// want compares one thing with the script.
func (p *player) want(what string, got, want any) {
	if got != want {
		p.differed = append(p.differed, fmt.Sprintf("%s: got %v, want %v", what, got, want))
	}
}

// trip is the trip as it is stored.
func (p *player) trip() *roster.Trip {
	l, err := p.s.Store.Load(p.ctx, p.s.trip, "")
	if err != nil {
		p.fail("%v", err)
	}
	return l.Trip
}

// status is somebody's clearance for the first dive.
func (p *player) status(name string) gas.Status {
	return p.trip().Clearance(p.s.person(name).ID, 1, p.s.clock.Now()).Status
}

func (p *player) page(name, after string) []roster.Entry {
	if p.s.trip == "" {
		return nil // nobody is on a trip that is still to be started
	}
	entries, err := p.s.chats.Read(p.ctx, p.s.trip, p.s.person(name).ID, after)
	if err != nil {
		p.fail("%v", err)
	}
	return entries
}

func (p *player) said(e roster.Entry) (m message.Message) {
	if err := json.Unmarshal(e.Payload, &m); err != nil {
		p.fail("a message can't be read: %v", err)
	}
	return m
}

// heard prints what was said to anybody since the last time, the answer first.
func (p *player) heard() {
	for _, first := range []bool{true, false} {
		for _, g := range p.s.people {
			if (g.Name == p.actor) != first {
				continue
			}
			for _, e := range p.page(g.Name, p.lastRead[g.ID]) {
				p.lastRead[g.ID] = e.ID
				p.print(g.Name, p.said(e))
			}
		}
	}
	p.actor = ""
}

// shows prints what somebody was last told, whole.
func (p *player) shows(name string) {
	p.tell("What " + name + " reads:")
	entries := p.page(name, "")
	p.actor = name
	for _, e := range entries {
		p.print(name, p.said(e))
	}
	p.actor = ""
}

func (p *player) reader(name string) message.Reader {
	to := message.Reader{Zone: zone, Units: "m"}
	if p.s.trip == "" {
		return to
	}
	if q := p.trip().Person(p.s.person(name).ID); q != nil && q.Units != "" {
		to.Units = q.Units
	}
	return to
}

// print prints a message as its reader sees it. Of what goes to many, only the
// first is printed whole; an answer always is.
func (p *player) print(name string, m message.Message) {
	to := p.reader(name)
	m = p.linked(name, m)
	lines := strings.Split(p.s.Renderer.Text(m, to, message.Plain), "\n")
	kind := m.Lines[0].Key
	if p.printed[kind] && p.actor != name && len(lines) > 2 {
		lines = []string{lines[0], fmt.Sprintf("... %d lines, much as before", len(lines)-1)}
	}
	p.printed[kind] = true
	p.stamp("to " + name)
	for _, line := range lines {
		fmt.Fprintln(p.out, strings.TrimRight("       | "+line, " "))
	}
	for _, row := range m.Buttons {
		var labels []string
		for _, b := range row {
			labels = append(labels, "["+p.s.Renderer.Line(b.Label, to)+"]")
		}
		fmt.Fprintln(p.out, "       | "+strings.Join(labels, " "))
	}
	p.read(strings.Join(lines, " "))
}

// linked is a message with the addresses of its links, as on the pages.
func (p *player) linked(name string, m message.Message) message.Message {
	return message.Linked(m, func(kind message.Kind, _ roster.PersonID, _ int) string {
		switch kind {
		case message.KindRecord:
			return p.s.person(name).Page + "/record"
		case message.KindOpen:
			return p.s.OpenInvite(p.trip())
		case message.KindChat, message.KindOpenChat:
			return "" // there is no chat app here
		}
		return p.s.person(name).Page
	})
}

// stamp prints a line with the time, and the day when it is a new one.
func (p *player) stamp(text string) {
	now := p.s.clock.Now().In(evening.Location())
	if day := now.Format("Monday 2 January"); day != p.day {
		p.day = day
		fmt.Fprintf(p.out, "\n== %s ==\n", day)
	}
	fmt.Fprintf(p.out, "%s  %s\n", now.Format("15:04"), text)
}
