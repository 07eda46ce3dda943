"use strict";
// Keeps the shell of the pages for when there is no network: the script and
// one page that shows what this phone saw last, with its age. No conversation,
// board or verdict is ever kept here, and the network always goes first.
const shell = "gm-shell-{{.Version}}";
const parts = [{{range .Parts}}"{{.}}", {{end}}];
const offline = "/page/offline" + self.location.search;

self.addEventListener("install", (ev) => {
  ev.waitUntil(caches.open(shell).then((c) => c.addAll([...parts, offline])).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (ev) => {
  ev.waitUntil(caches.keys().then((names) => Promise.all(names.filter((n) => n.startsWith("gm-shell-") && n !== shell).map((n) => caches.delete(n)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (ev) => {
  const url = new URL(ev.request.url);
  if (ev.request.method !== "GET" || url.origin !== self.location.origin) { return; }
  if (ev.request.mode === "navigate") {
    ev.respondWith(fetch(ev.request).catch(() => caches.open(shell).then((c) => c.match(offline))));
  } else if (parts.includes(url.pathname + url.search)) {
    ev.respondWith(caches.open(shell).then((c) => c.match(ev.request)).then((kept) => kept || fetch(ev.request)));
  }
});
