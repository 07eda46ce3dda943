package web

import (
	"bytes"
	"html/template"
	"net/http"
)

// Show makes a page whole before the first byte leaves. What can't be made is a plain
// 500, and the error of the template.
func Show(w http.ResponseWriter, pages *template.Template, status int, name string, v any) error {
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, v); err != nil {
		http.Error(w, "This page could not be made.", http.StatusInternalServerError)
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes())
	return nil
}
