package desk

import (
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"net/http"
	"strings"
	"time"

	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// How long a session and an unused link last.
const (
	sessionLife = 12 * time.Hour
	linkLife    = 24 * time.Hour
)

const cookieName = "desk"

// A token is the shop's id and 128 random bits: "shop.RANDOM". Of the random
// part the hash is kept.
func newToken(shop roster.ShopID) (token, hash string) {
	secret := rand.Text()
	return string(shop) + "." + secret, keys.Hash(secret)
}

func readToken(token string) (shop roster.ShopID, hash string, ok bool) {
	i := strings.LastIndexByte(token, '.')
	if i < 1 || len(token) > keys.Longest {
		return "", "", false
	}
	return roster.ShopID(token[:i]), keys.Hash(token[i+1:]), true
}

// mark ties a session to the shop's key: a new key ends it.
func mark(s roster.Shop) string { return s.KeyHash[:min(16, len(s.KeyHash))] }

// visit is one request of somebody signed in.
type visit struct {
	*http.Request
	w       http.ResponseWriter
	shop    roster.Shop
	session string // hash
	page    page
	now     time.Time
}

// signedIn lets a handler answer who has a session; everybody else is shown
// where to sign in.
func (d *Desk) signedIn(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		shop, session, err := d.whose(r)
		switch {
		case errors.Is(err, roster.ErrNotFound) && r.Method == http.MethodGet:
			http.Redirect(w, r, "/desk/in", http.StatusSeeOther)
		case errors.Is(err, roster.ErrNotFound):
			p := d.blank(w, r, "desk.in.title")
			p.Problem = p.T("desk.in.over")
			d.show(w, http.StatusUnauthorized, "sign-in", p)
		case err != nil:
			d.broken(w, r, err)
		default:
			v := &visit{Request: r, w: w, shop: shop, session: session, page: d.blank(w, r, ""), now: d.Now()}
			v.page.Shop, v.page.In = shop.Name, true
			if r.Method == http.MethodGet || d.withinRate(v) {
				h(d, v)
			}
		}
	})
}

// whose is the shop of a request's session; roster.ErrNotFound without one.
func (d *Desk) whose(r *http.Request) (roster.Shop, string, error) {
	cookie, err := r.Cookie(cookieName)
	if err != nil {
		return roster.Shop{}, "", roster.ErrNotFound
	}
	id, hash, ok := readToken(cookie.Value)
	if !ok {
		return roster.Shop{}, "", roster.ErrNotFound
	}
	made, err := d.SignIns.Session(r.Context(), id, hash)
	if err != nil {
		return roster.Shop{}, "", err
	}
	shop, err := d.Shops.Shop(r.Context(), id)
	if err == nil && made != mark(shop) {
		err = roster.ErrNotFound // the key was replaced
	}
	return shop, hash, err
}

// Enter begins a session: always a new one, whatever cookie came with the
// request.
func (d *Desk) Enter(w http.ResponseWriter, r *http.Request, shop roster.Shop) error {
	token, hash := newToken(shop.ID)
	if err := d.SignIns.Begin(r.Context(), shop.ID, hash, mark(shop), sessionLife); err != nil {
		return err
	}
	d.setCookie(w, token, int(sessionLife.Seconds()))
	return nil
}

func (d *Desk) setCookie(w http.ResponseWriter, value string, age int) {
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: value, Path: "/desk", MaxAge: age, HttpOnly: true,
		SameSite: http.SameSiteStrictMode, Secure: strings.HasPrefix(d.PublicURL, "https://")}) // #nosec G124 -- plain http is for trying it out
}

func (d *Desk) signInPage(w http.ResponseWriter, r *http.Request) {
	d.show(w, http.StatusOK, "sign-in", d.blank(w, r, "desk.in.title"))
}

// signIn takes a shop's key.
func (d *Desk) signIn(w http.ResponseWriter, r *http.Request) {
	p := d.blank(w, r, "desk.in.title")
	key := strings.TrimSpace(r.PostFormValue("key"))
	hash := keys.Hash(key)
	if wait := d.guesses.Wait(r, hash, d.Now()); wait > 0 {
		web.RetryAfter(w, wait)
		p.Problem = p.T("desk.in.slow")
		d.show(w, http.StatusTooManyRequests, "sign-in", p)
		return
	}
	shop, err := roster.Shop{}, error(roster.ErrNotFound)
	if key != "" && len(key) <= keys.Longest {
		shop, err = d.Shops.ShopByKey(r.Context(), hash)
	}
	switch {
	case err != nil && !errors.Is(err, roster.ErrNotFound):
		d.broken(w, r, err)
	case err != nil || subtle.ConstantTimeCompare([]byte(shop.KeyHash), []byte(hash)) != 1:
		d.guesses.Failed(r, hash, d.Now())
		p.Problem = p.T("desk.in.wrong")
		d.show(w, http.StatusUnauthorized, "sign-in", p)
	default:
		d.guesses.Opened(hash)
		d.enterAndGo(w, r, shop)
	}
}

func (d *Desk) enterAndGo(w http.ResponseWriter, r *http.Request, shop roster.Shop) {
	if err := d.Enter(w, r, shop); err != nil {
		d.broken(w, r, err)
		return
	}
	http.Redirect(w, r, "/desk", http.StatusSeeOther)
}

// linkPage shows a button: a preview of the link uses nothing up.
func (d *Desk) linkPage(w http.ResponseWriter, r *http.Request) {
	p := d.blank(w, r, "desk.in.title")
	p.Action = "/desk/in/" + r.PathValue("link")
	d.show(w, http.StatusOK, "link", p)
}

// useLink signs in whoever presses it first.
func (d *Desk) useLink(w http.ResponseWriter, r *http.Request) {
	id, hash, ok := readToken(r.PathValue("link"))
	err := error(roster.ErrNotFound)
	var shop roster.Shop
	if ok {
		if shop, err = d.Shops.Shop(r.Context(), id); err == nil {
			err = d.SignIns.Redeem(r.Context(), id, hash)
		}
	}
	switch {
	case errors.Is(err, roster.ErrNotFound):
		p := d.blank(w, r, "desk.in.title")
		p.Problem = p.T("desk.in.used")
		d.show(w, http.StatusNotFound, "sign-in", p)
	case err != nil:
		d.broken(w, r, err)
	default:
		d.enterAndGo(w, r, shop)
	}
}

// signOut ends this session, or with all=1 every session of the shop.
func (d *Desk) signOut(v *visit) {
	err := d.SignIns.End(v.Context(), v.shop.ID, v.session)
	if v.PostFormValue("all") == "1" && err == nil {
		err = d.SignIns.EndAll(v.Context(), v.shop.ID)
	}
	if err != nil {
		d.broken(v.w, v.Request, err)
		return
	}
	d.setCookie(v.w, "", -1)
	http.Redirect(v.w, v.Request, "/desk/in", http.StatusSeeOther)
}
