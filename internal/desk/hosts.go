package desk

import (
	"errors"

	"gasmuster/internal/booking"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// hostRow is somebody who may start trips from their phone, with the link that they
// come in by. It is made of the deployment's secret and can be shown again.
type hostRow struct{ ID, Name, Page, Chat string }

func (d *Desk) hostRows(v *visit) ([]hostRow, error) {
	if d.Hosts.Store == nil {
		return nil, nil
	}
	list, err := d.Hosts.Of(v.Context(), v.shop.ID)
	rows := make([]hostRow, len(list))
	for i, h := range list {
		page, chat := d.Links.Host(h.ID, h.Generation)
		rows[i] = hostRow{string(h.ID), h.Name, page, chat}
	}
	return rows, err
}

// setHost makes, renews or takes back a host's link.
func (d *Desk) setHost(v *visit) (err error) {
	id := roster.HostID(v.PostFormValue("host"))
	switch v.PostFormValue("do") {
	case "host-add":
		_, err = d.Hosts.Add(v.Context(), v.shop.ID, v.PostFormValue("name"))
	case "host-new":
		err = d.Hosts.Renew(v.Context(), v.shop.ID, id)
	default:
		err = d.Hosts.Remove(v.Context(), v.shop.ID, id)
	}
	for no, key := range map[error]string{booking.ErrHostName: "desk.host.name-wrong",
		booking.ErrHostTaken: "desk.host.taken",
		booking.ErrHostsFull: "desk.host.full", roster.ErrNotFound: "desk.host.gone"} {
		if errors.Is(err, no) {
			return booking.Refused(message.Say(key, nil))
		}
	}
	return err
}
