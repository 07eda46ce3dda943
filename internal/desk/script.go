package desk

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"net/http"
)

//go:embed assets/desk.css
var deskCSS string

//go:embed assets/desk.js
var deskJS []byte

// scriptAt is the script's address: it carries what the script holds, so that a
// browser may keep it and never has an old one.
var scriptAt = func() string {
	sum := sha256.Sum256(deskJS)
	return "/desk/desk.js?v=" + hex.EncodeToString(sum[:6])
}()

func serveScript(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "max-age=31536000, immutable")
	_, _ = w.Write(deskJS)
}

// mostPosted holds a file of 10 MB and the form around it.
const mostPosted = 11 << 20
