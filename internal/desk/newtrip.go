package desk

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/keys"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// newPage is the one form in which a trip is booked.
type newPage struct {
	formPage
	Dives, People int // rows
	Sites         []siteView
	Zones         []string
	Checked       *checkedView // what would be stored
}

// siteView is a site that the shop used before.
type siteView struct {
	Site, Depth string
	dive        roster.Dive
}

// checkedView is a trip as it would be stored: nothing was yet.
type checkedView struct {
	Departs string
	Plans   []string
	People  []string
	Settle  []string
	Notes   []string // how what was typed, or a file, was understood
}

// How many rows a fresh form has, and how many more a press brings.
const (
	freshDives, freshPeople = 2, 8
	mostPeople              = roster.MaxDivers + 2*roster.MaxLeaders
)

func (d *Desk) newTrip(v *visit) {
	s := newPage{formPage: newForm(v.page), Dives: freshDives, People: freshPeople}
	units := gas.Metres
	s.values["p0.role"] = "leader"
	if last := d.lastTrip(v); last != nil {
		s.values["time_zone"], units = last.Zone, last.Units
		at := last.Departs.In(zoneOf(last))
		s.values["time"], s.values["analysers"] = at.Format("15:04"), analysersOf(last)
	}
	s.values["units"], s.values["shown_units"] = units.String(), units.String()
	s.fromPolicy(v.shop.Policy.In(units), units)
	d.showNew(v, 200, s)
}

func analysersOf(t *roster.Trip) string {
	var names []string
	for _, a := range t.Analysers {
		names = append(names, a.Name)
	}
	return strings.Join(names, ", ")
}

func (d *Desk) showNew(v *visit, status int, s newPage) {
	s.Title, s.Section = s.T("desk.new"), "new"
	s.Sites, s.Zones = d.known(v)
	d.show(v.w, status, "new", s)
}

// remembered is how far back sites and habits are looked for.
const remembered = 60 * 24 * time.Hour

// lately are the shop's last trips, the latest first; nil when they can't be read,
// since a form does without.
func (d *Desk) lately(v *visit) []*roster.Trip {
	trips, _, err := d.office.Between(v.Context(), v.shop.ID, v.now.Add(-remembered), v.now.AddDate(0, 1, 0), 60)
	if err != nil {
		d.Log.Warn("desk: earlier trips", "err", err)
		return nil
	}
	slices.Reverse(trips)
	return trips
}

func (d *Desk) lastTrip(v *visit) *roster.Trip {
	if trips := d.lately(v); len(trips) > 0 {
		return trips[0]
	}
	return nil
}

// known are the sites and time zones of the shop's last trips.
func (d *Desk) known(v *visit) (sites []siteView, zones []string) {
	seen := map[string]bool{}
	for _, t := range d.lately(v) {
		if !seen[t.Zone] {
			seen[t.Zone] = true
			zones = append(zones, t.Zone)
		}
		for _, one := range t.Dives {
			if key := strings.ToLower(one.Site); !seen[key] {
				seen[key] = true
				sites = append(sites, siteView{one.Site, v.page.of(t).value(message.Planned(one.Depth)), one})
			}
		}
	}
	return sites, zones
}

// bookTrip shows what would be stored, brings more rows, or stores.
func (d *Desk) bookTrip(v *visit) {
	f := v.form()
	s := newPage{formPage: newForm(v.page), Dives: rowsOf(f, "dives", freshDives, roster.MaxDives),
		People: rowsOf(f, "people", freshPeople, mostPeople)}
	s.keep(f)
	if f.text("do") == "more" {
		s.People, s.Dives = min(s.People+8, mostPeople), min(s.Dives+1, roster.MaxDives)
		d.showNew(v, 200, s)
		return
	}
	s.Once = f.text("once")
	doc := f.planOf(s.Dives)
	f.sameDeepest(doc, v.shop.Policy)
	f.people(doc, s.People)
	notes := d.fromBefore(v, doc)
	draft, _, err := booking.ReadTrip(asJSON(doc), "application/json", v.shop.Policy, v.now)
	err = f.bad.Before(err)
	switch {
	case err == nil && f.text("do") == "store":
		d.storeNew(v, asJSON(doc), s, f)
	case err == nil:
		s.Checked = s.checked(draft.Trip, v.now)
		s.Checked.Notes = append(s.Checked.Notes, notes...)
		d.showNew(v, 200, s)
	case d.refused(v, err):
		f.place(&v.page)
		s.page = v.page
		d.showNew(v, 422, s)
	}
}

// sameDeepest leaves out the deepest plan that the form brought along in a unit that was
// changed since: 40 m were not meant as 40 ft.
func (f form) sameDeepest(doc map[string]any, base *gas.Policy) {
	var shown gas.Unit
	if shown.UnmarshalText([]byte(f.text("shown_units"))) != nil || shown.String() == f.text("units") {
		return
	}
	if f.text("deepest") == booking.Plain(base.In(shown).Deepest.Value) {
		delete(doc["policy"].(map[string]any), "deepest")
	}
}

func (d *Desk) storeNew(v *visit, doc []byte, s newPage, f form) {
	t, err := d.create(v, doc)
	switch {
	case err == nil:
		v.done("/desk/trips/" + string(t.ID) + "?done=stored")
	case d.refused(v, err):
		f.place(&v.page)
		s.page = v.page
		d.showNew(v, 422, s)
	}
}

func rowsOf(f form, name string, least, most int) int {
	n, err := strconv.Atoi(f.text(name))
	if err != nil {
		return least
	}
	return max(least, min(n, most))
}

// people reads the rows of people: a blend typed for a dive is a cylinder.
func (f form) people(doc map[string]any, rows int) {
	lists := map[string]string{"leader": "leaders", "crew": "crew", "diver": "divers"}
	for _, list := range lists {
		doc[list] = []any{}
		f.fields["/"+list] = "p0.name"
	}
	for i := range rows {
		row := rowOf("p", i)
		if f.empty(row, "name", "gas1", "gas2", "depth_limit", "team") {
			continue
		}
		list := lists[f.text(row+"role")]
		if list == "" {
			list = "divers"
		}
		have := doc[list].([]any)
		at, one := "/"+list+"/"+strconv.Itoa(len(have)), map[string]any{}
		f.fields[at] = row + "name"
		f.put(one, at, "name", row+"name", asText)
		f.put(one, at, "card", row+"card", asText)
		f.put(one, at, "depth_limit", row+"depth_limit", booking.Number)
		f.put(one, at, "team", row+"team", asText)
		one["cylinders"] = f.gases(row, at)
		doc[list] = append(have, one)
	}
}

func (f form) gases(row, at string) []any {
	list := []any{}
	for n := range roster.MaxDives {
		field := row + "gas" + strconv.Itoa(n+1)
		if f.text(field) == "" {
			continue
		}
		place := at + "/cylinders/" + strconv.Itoa(len(list))
		f.fields[place] = field
		one := map[string]any{"dive": n + 1}
		f.put(one, place, "asked", field, booking.Blended)
		list = append(list, one)
	}
	return list
}

// fromBefore gives a site that was used before the depth and the minutes of then,
// where none are typed; the notes say so.
func (d *Desk) fromBefore(v *visit, doc map[string]any) (notes []string) {
	dives, _ := doc["dives"].([]any)
	sites, _ := d.known(v)
	for _, one := range dives {
		dive := one.(map[string]any)
		if dive["depth"] != nil {
			continue
		}
		for _, s := range sites {
			if name, _ := dive["site"].(string); strings.EqualFold(name, s.Site) && s.dive.Depth.Unit.String() == doc["units"] {
				dive["depth"] = s.dive.Depth.Value
				if dive["minutes"] == nil {
					dive["minutes"] = s.dive.Minutes
				}
				notes = append(notes, v.page.line(message.Say("desk.new.before", message.Args{"site": message.Name(s.Site),
					"depth": message.Planned(s.dive.Depth), "minutes": message.Count(int(s.dive.Minutes))})))
			}
		}
	}
	return notes
}

// checked is what would be stored, with what does not fit.
func (p page) checked(t *roster.Trip, now time.Time) *checkedView {
	p = p.of(t)
	out := &checkedView{Departs: p.line(message.Say("fills.departs",
		message.Args{"at": message.Moment(t.Departs, t.Zone)}))}
	for i, one := range t.Dives {
		out.Plans = append(out.Plans, p.planLine(i+1, one))
	}
	for _, one := range t.People {
		row := p.row(t, one)
		out.People = append(out.People, strings.Join(append([]string{row.Name, row.Role, row.Card}, row.Gases...), " · "))
	}
	for _, s := range booking.ListFills(t, now, p.line).Settle {
		out.Settle = append(out.Settle, s.Text)
	}
	return out
}

// create stores a new trip. Its id follows from the form's, so that a form that is
// sent twice books one trip.
func (d *Desk) create(v *visit, doc []byte) (*roster.Trip, error) {
	draft, _, err := booking.ReadTrip(doc, "application/json", v.shop.Policy, v.now)
	if err != nil {
		return nil, err
	}
	draft.Shop = v.shop.ID
	draft.ID = booking.TripID(v.shop, v.PostFormValue("once"))
	t, err := d.Door.Create(v.Context(), draft)
	if errors.Is(err, roster.ErrConflict) || errors.Is(err, roster.ErrDuplicate) {
		return d.office.Load(v.Context(), v.shop.ID, draft.ID)
	}
	return t, err
}

// Offer makes a link that signs somebody in at the desk once, within a day.
func Offer(ctx context.Context, s SignIns, publicURL string, shop roster.ShopID) (string, error) {
	token, hash := newToken(shop)
	if err := s.Offer(ctx, shop, hash, linkLife); err != nil {
		return "", err
	}
	return publicURL + "/desk/in/" + token, nil
}

// freshKey gives the shop a new key and keeps this session: all others end.
func (d *Desk) freshKey(v *visit) (string, error) {
	key := keys.New()
	shop := v.shop
	shop.KeyHash = keys.Hash(key)
	if err := d.Shops.ReplaceShop(v.Context(), v.shop, shop); err != nil {
		return "", err
	}
	return key, d.Enter(v.w, v.Request, shop)
}
