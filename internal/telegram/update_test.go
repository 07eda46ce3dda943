package telegram

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

var noon = time.Date(2027, 5, 15, 12, 0, 0, 0, time.UTC)

// What every kind of update means. Names of fields as in the public API description.
func TestInbound(t *testing.T) {
	t.Parallel()
	r := newRig(t, func(r *rig) { r.cfg.Now = func() time.Time { return noon } })
	if err := r.ch.connect(t.Context()); err != nil {
		t.Fatal(err)
	}
	said := noon.Add(-time.Minute)
	const inPrivate = `"chat":{"id":7001,"type":"private"},"from":{"id":7001,"language_code":"pt-br"}`
	const inGroup = `"chat":{"id":-55,"type":"group"},"from":{"id":7001,"language_code":"pt-br"}`
	private := delivery.Inbound{Kind: conversation.Text, Source: "tg:9", Ref: "tg:7001:5", From: private(7001), At: said,
		Language: "pt-br"}
	group := private
	group.Ref, group.Group = "tg:-55:5", chat{id: -55}.address()
	with := func(in delivery.Inbound, change func(*delivery.Inbound)) *delivery.Inbound {
		change(&in)
		return &in
	}
	text := func(s string) func(*delivery.Inbound) { return func(in *delivery.Inbound) { in.Text = s } }
	for name, c := range map[string]struct {
		update string
		want   *delivery.Inbound // nil: means nothing
	}{
		"text": {`"message":{"message_id":5,"date":$DATE,"text":"32.4",` + inPrivate + `}`,
			with(private, text("32.4"))},
		"start": {`"message":{"message_id":5,"date":$DATE,"text":"/start abcdefgh23-p1-x_Y",` + inPrivate + `}`,
			with(private, text("/start abcdefgh23-p1-x_Y"))},
		"photo": {`"message":{"message_id":5,"date":$DATE,"photo":[{"file_id":"small"},{"file_id":"x"}],` +
			inPrivate + `}`, with(private, func(in *delivery.Inbound) { in.Photo = "x" })},
		"captioned": {`"message":{"message_id":5,"date":$DATE,"photo":[],"caption":"32.4",` + inPrivate + `}`,
			with(private, text("32.4"))},
		"forwarded": {`"message":{"message_id":5,"date":$DATE,"forward_origin":{"type":"hidden_user","sender_user_name":"X","date":1},"text":"32.4",` + inPrivate + `}`, with(private, text("32.4"))},
		"edited caption": {`"edited_message":{"message_id":5,"date":1,"edit_date":$DATE,"photo":[],"caption":"31.4",` +
			inPrivate + `}`, with(private, func(in *delivery.Inbound) { in.Kind, in.Text = conversation.Edited, "31.4" })},
		"voice": {`"message":{"message_id":5,"date":$DATE,"voice":{"duration":3},` + inPrivate + `}`,
			with(private, text(""))},
		"sticker": {`"message":{"message_id":5,"date":$DATE,"sticker":{"emoji":"🤿"},` + inPrivate + `}`,
			with(private, text(""))},
		"location": {`"message":{"message_id":5,"date":$DATE,"location":{"latitude":1.5},` + inPrivate + `}`,
			with(private, text(""))},
		"pinned": {`"message":{"message_id":5,"date":$DATE,"pinned_message":{"message_id":1},` + inPrivate + `}`, nil},
		"edited": {`"edited_message":{"message_id":5,"date":1,"edit_date":$DATE,"text":"31.4",` + inPrivate + `}`,
			with(private, func(in *delivery.Inbound) { in.Kind, in.Text = conversation.Edited, "31.4" })},
		"live location": {`"edited_message":{"message_id":5,"date":1,"edit_date":$DATE,"location":{},` + inPrivate + `}`,
			nil},
		"no date": {`"message":{"message_id":5,"text":"32.4",` + inPrivate + `}`,
			with(private, func(in *delivery.Inbound) { in.Text, in.At = "32.4", noon })},
		"date far off": {`"message":{"message_id":5,"date":99999999999,"text":"32.4",` + inPrivate + `}`,
			with(private, func(in *delivery.Inbound) { in.Text, in.At = "32.4", noon })},
		"button": {`"callback_query":{"id":"4","data":"abcdefgh23|undo r12","message":{"message_id":5,"date":1,"chat":{"id":7001,"type":"private"}},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(private, func(in *delivery.Inbound) {
				in.Kind, in.Trip, in.Do, in.At = conversation.Button, tripID, "undo r12", noon
			})},
		"button without trip": {`"callback_query":{"id":"4","data":"talk abcdefgh23","message":{"message_id":5,"date":1,"chat":{"id":7001,"type":"private"}},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(private, func(in *delivery.Inbound) { in.Kind, in.Do, in.At = conversation.Button, "talk abcdefgh23", noon })},
		"forged button": {`"callback_query":{"id":"4","data":"../../x|undo","message":{"message_id":5,"date":0,"chat":{"id":7001,"type":"private"}},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(private, func(in *delivery.Inbound) { in.Kind, in.Do, in.At = conversation.Button, "../../x|undo", noon })},
		"button in a group": {`"callback_query":{"id":"4","data":"abcdefgh23|x","message":{"message_id":5,"date":1,"chat":{"id":-55,"type":"group"}},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(group, func(in *delivery.Inbound) { in.Kind, in.Trip, in.Do, in.At = conversation.Button, tripID, "x", noon })},
		"blocked": {`"my_chat_member":{"date":$DATE,"chat":{"id":7001,"type":"private"},"from":{"id":7001},"old_chat_member":{"status":"member"},"new_chat_member":{"status":"kicked"}}`,
			&delivery.Inbound{Kind: conversation.Lost, Source: "tg:9", From: private.From, At: said, Reason: ReasonBlocked}},
		"unblocked": {`"my_chat_member":{"date":$DATE,"chat":{"id":7001,"type":"private"},"new_chat_member":{"status":"member"}}`,
			&delivery.Inbound{Kind: conversation.Found, Source: "tg:9", From: private.From, At: said}},
		"removed from a group": {`"my_chat_member":{"date":$DATE,"chat":{"id":-55,"type":"group"},"new_chat_member":{"status":"left"}}`,
			&delivery.Inbound{Kind: conversation.Lost, Source: "tg:9", From: group.Group, At: said, Reason: ReasonRemoved}},
		"admin of a channel": {`"my_chat_member":{"date":$DATE,"chat":{"id":-55,"type":"channel"},"new_chat_member":{"status":"administrator"}}`, nil},
		"restricted":         {`"my_chat_member":{"date":$DATE,"chat":{"id":-55,"type":"supergroup"},"new_chat_member":{"status":"restricted"}}`, nil},
		"command in a group": {`"message":{"message_id":5,"date":$DATE,"text":"/missing",` + inGroup + `}`,
			with(group, text("/missing"))},
		"addressed command": {`"message":{"message_id":5,"date":$DATE,"text":"/missing@Charter_Test_Bot now",` + inGroup +
			`}`, with(group, text("/missing@Charter_Test_Bot now"))},
		"other bot's command": {`"message":{"message_id":5,"date":$DATE,"text":"/missing@other_bot",` + inGroup + `}`, nil},
		"chatter":             {`"message":{"message_id":5,"date":$DATE,"text":"see you at 8",` + inGroup + `}`, nil},
		"photo in a group":    {`"message":{"message_id":5,"date":$DATE,"photo":[],` + inGroup + `}`, nil},
		"named in a group": {`"message":{"message_id":5,"date":$DATE,"text":"@charter_test_bot 32.4",` + inGroup + `}`,
			with(group, text("@charter_test_bot 32.4"))},
		"answer to the bot": {`"message":{"message_id":5,"date":$DATE,"text":"32.4","reply_to_message":{"message_id":1,"from":{"id":4242424242}},` + inGroup + `}`, with(group, text("32.4"))},
		"answer to another": {`"message":{"message_id":5,"date":$DATE,"text":"32.4","reply_to_message":{"message_id":1,"from":{"id":7002}},` + inGroup + `}`, nil},
		"edited in a group": {`"edited_message":{"message_id":5,"edit_date":$DATE,"text":"/missing",` + inGroup + `}`, nil},
		"new member":        {`"message":{"message_id":5,"date":$DATE,"new_chat_members":[{"id":8}],` + inGroup + `}`, nil},
		"in a topic": {`"message":{"message_id":5,"date":$DATE,"text":"/link","message_thread_id":77,"is_topic_message":true,"chat":{"id":-100,"type":"supergroup"},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(group, func(in *delivery.Inbound) { in.Ref, in.Group.ID, in.Text = "tg:-100:5", "-100/77", "/link" })},
		"chain of answers is no topic": {`"message":{"message_id":5,"date":$DATE,"text":"/link","message_thread_id":77,"chat":{"id":-100,"type":"supergroup"},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(group, func(in *delivery.Inbound) { in.Ref, in.Group.ID, in.Text = "tg:-100:5", "-100", "/link" })},
		"moves to": {`"message":{"message_id":5,"date":$DATE,"migrate_to_chat_id":-100,"chat":{"id":-55,"type":"group"},"from":{"id":1087968824,"is_bot":true}}`,
			&delivery.Inbound{Kind: conversation.Moved, Source: "tg:9", From: group.Group, Group: chat{id: -100}.address(),
				At: said}},
		"moved from": {`"message":{"message_id":5,"date":$DATE,"migrate_from_chat_id":-55,"chat":{"id":-100,"type":"supergroup"}}`,
			&delivery.Inbound{Kind: conversation.Moved, Source: "tg:9", From: group.Group, Group: chat{id: -100}.address(),
				At: said}},
		"anonymous admin":  {`"message":{"message_id":5,"date":$DATE,"text":"/signoff","chat":{"id":-55,"type":"group"},"from":{"id":1087968824,"is_bot":true}}`, nil},
		"anonymous, human": {`"message":{"message_id":5,"date":$DATE,"text":"/signoff","chat":{"id":-55,"type":"group"},"from":{"id":1087968824}}`, nil},
		"linked channel":   {`"message":{"message_id":5,"date":$DATE,"text":"/signoff","chat":{"id":-55,"type":"supergroup"},"from":{"id":777000}}`, nil},
		"as a channel":     {`"message":{"message_id":5,"date":$DATE,"text":"/signoff","chat":{"id":-55,"type":"supergroup"},"from":{"id":136817688}}`, nil},
		"another bot":      {`"message":{"message_id":5,"date":$DATE,"text":"/signoff","chat":{"id":-55,"type":"group"},"from":{"id":99,"is_bot":true}}`, nil},
		"channel post": {`"channel_post":{"message_id":5,"date":$DATE,"text":"32.4","chat":{"id":-55,"type":"channel"}}`,
			nil},
		"in a channel": {`"message":{"message_id":5,"date":$DATE,"text":"/x","chat":{"id":-55,"type":"channel"},"from":{"id":7001}}`, nil},
		"anonymous button carries the person": {`"callback_query":{"id":"4","data":"abcdefgh23|x","message":{"message_id":5,"date":1,"sender_chat":{"id":-55},"chat":{"id":-55,"type":"group"}},"from":{"id":7001,"language_code":"pt-br"}}`,
			with(group, func(in *delivery.Inbound) { in.Kind, in.Trip, in.Do, in.At = conversation.Button, tripID, "x", noon })},
		"52-bit ids": {`"message":{"message_id":5,"date":$DATE,"text":"x","chat":{"id":4503599627370495,"type":"private"},"from":{"id":4503599627370495,"language_code":"pt-br"}}`,
			with(private, func(in *delivery.Inbound) {
				in.Text, in.From.ID, in.Ref = "x", "4503599627370495", "tg:4503599627370495:5"
			})},
	} {
		t.Run(name, func(t *testing.T) {
			body := `{"update_id":9,` + strings.ReplaceAll(c.update, "$DATE", fmt.Sprint(said.Unix())) + `}`
			u, err := decode([]byte(body))
			if err != nil {
				t.Fatal(err)
			}
			in, means := r.ch.inbound(u)
			if means != (c.want != nil) {
				t.Fatalf("means something: %v; %+v", means, in)
			}
			if c.want != nil && !cmp.Equal(in, *c.want) {
				t.Error(cmp.Diff(*c.want, in))
			}
		})
	}
}

func TestDecodeNamesTheFieldNotItsValue(t *testing.T) {
	t.Parallel()
	for body, want := range map[string]string{
		`{"update_id":4,"message":{"text":{"a":"secret"}}}`: `field "message.text": want string`,
		`{"update_id":4,"message":"secret"`:                 "not JSON from byte 33 on",
		`{"message":{}}`:                                    "no update_id",
		`"secret"`:                                          "",
	} {
		u, err := decode([]byte(body))
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "secret") {
			t.Errorf("decode(%s): %v, want %q", body, err, want)
		}
		if strings.Contains(want, "field") && u.ID != 4 {
			t.Errorf("decode(%s): id %d, want 4", body, u.ID)
		}
	}
}

func TestButtonDataRoundTrip(t *testing.T) {
	t.Parallel()
	for _, do := range []string{"undo r12", "", "a|b", "talk abcdefgh23", strings.Repeat("x", 48)} {
		data := writeData(tripID, do)
		if len(data) > maxData {
			t.Errorf("%q takes %d bytes", do, len(data))
		}
		trip, got := readData(data)
		if trip != tripID || got != do {
			t.Errorf("readData(%q) = %q, %q", data, trip, got)
		}
	}
	for _, data := range []string{"ABCDEFGH23|x", "abcdefgh2|x", "abcdefgh18|x", "|x", "x"} {
		if trip, do := readData(data); trip != roster.TripID("") || do != data {
			t.Errorf("readData(%q) = %q, %q", data, trip, do)
		}
	}
}
