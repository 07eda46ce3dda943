package desk

import (
	"errors"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// settingsPage is what belongs to the shop rather than to a trip.
type settingsPage struct {
	formPage
	Webhook string // where events go now
	State   string
	Secret  string // shown once
	Key     string // shown once
	Link    string // shown once
	Kept    string
	Hosts   []hostRow
}

func (d *Desk) settings(v *visit) { d.showSettings(v, 200, settingsPage{}) }

// showSettings takes what is shown this once.
func (d *Desk) showSettings(v *visit, status int, shown settingsPage) {
	v.page.Title, v.page.Section, v.page.Done = v.page.T("desk.settings"), "settings", v.note()
	shown.formPage = newForm(v.page)
	policy := v.shop.Policy.In(gas.Metres)
	if v.shop.Policy != nil {
		policy = *v.shop.Policy
	}
	shown.values["units"] = policy.Deepest.Unit.String()
	shown.fromPolicy(policy, policy.Deepest.Unit)
	shown.Kept = shown.line(message.Say("desk.settings.kept", message.Args{"count": message.Count(d.KeepDays)}))
	var err error
	if shown.Hosts, err = d.hostRows(v); err != nil {
		d.failed(v, err)
		return
	}
	e, err := d.Hooks.Endpoint(v.Context(), v.shop.ID)
	switch {
	case errors.Is(err, roster.ErrNotFound):
		shown.State = shown.T("desk.webhook.none")
	case err != nil:
		d.failed(v, err)
		return
	default:
		shown.Webhook, shown.values["url"] = e.URL, e.URL
		shown.State = shown.T("desk.webhook.on")
		if !e.Disabled.IsZero() {
			shown.State = shown.line(message.Say("desk.webhook.off", message.Args{"reason": message.Text(e.Reason)}))
		}
	}
	if f := v.form(); f.text("do") != "" {
		shown.keep(f)
	}
	d.show(v.w, status, "settings", shown)
}

// set does what the pressed button says. A secret is shown on the page that
// answers and never again.
func (d *Desk) set(v *visit) {
	var shown settingsPage
	var err error
	switch v.PostFormValue("do") {
	case "webhook":
		shown.Secret, err = d.setWebhook(v, v.PostFormValue("url"))
	case "webhook-off":
		err = d.Hooks.Drop(v.Context(), v.shop.ID)
	case "host-add", "host-new", "host-off":
		err = d.setHost(v)
	case "policy":
		err = d.setPolicy(v)
	case "key":
		shown.Key, err = d.freshKey(v)
	case "link":
		shown.Link, err = Offer(v.Context(), d.SignIns, d.PublicURL, v.shop.ID)
	default:
		err = booking.Refused(message.Say("desk.no-such-act", nil))
	}
	if err != nil {
		if d.refused(v, err) {
			f := v.form()
			f.policy() // says which field is which
			f.place(&v.page)
			d.showSettings(v, 422, shown)
		}
		return
	}
	if shown.Secret+shown.Key+shown.Link == "" {
		v.done("/desk/settings?done=stored")
		return
	}
	d.showSettings(v, 200, shown)
}

// setPolicy stores what new trips begin with.
func (d *Desk) setPolicy(v *visit) error {
	f := v.form()
	doc := map[string]any{"policy": f.policy()}
	f.put(doc, "", "units", "units", asText)
	policy, err := booking.ReadPolicy(booking.Parsed(asJSON(doc)))
	if err = f.bad.Before(err); err != nil {
		return err
	}
	shop := v.shop
	shop.Policy = &policy
	return d.Shops.ReplaceShop(v.Context(), v.shop, shop)
}

func (d *Desk) setWebhook(v *visit, url string) (secret string, err error) {
	if err := d.Hooks.Check(url); err != nil {
		return "", booking.Refused(message.At(message.Say("desk.webhook.url", nil),
			message.Say("refuse.webhook", message.Args{"value": message.Typed(url)})))
	}
	_, secret, err = d.Hooks.Register(v.Context(), v.shop.ID, url)
	return secret, err
}
