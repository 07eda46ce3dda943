package demo

import "net/http"

// shop signs the visitor in at the desk as the demo's shop, which is made up too,
// and shows the trip there.
func (p *site) shop(w http.ResponseWriter, r *http.Request) {
	list, err := p.s.Store.Shops().ShopList(r.Context())
	if err == nil && len(list) > 0 {
		err = p.s.Desk.Enter(w, r, list[0])
	}
	if err != nil || len(list) == 0 {
		http.Error(w, "The shop's desk can't be opened.", http.StatusInternalServerError)
		return
	}
	http.Redirect(w, r, "/desk/trips/"+string(p.s.trip), http.StatusSeeOther)
}
