"use strict";
// What a page needs a script for: new messages without reloading, messages
// kept on the phone while there is no network, big number keys, and how old
// what is shown is. Without it the pages are plain forms that do the same.
(() => {
  const body = document.body;
  const kind = body.dataset.page; // chat, board or offline
  const base = kind === "offline" ? location.pathname.split("/").slice(0, 3).join("/") : body.dataset.base;
  const words = document.getElementById("words").dataset;
  const byId = (id) => document.getElementById(id);
  const net = byId("net");
  const framed = window.top !== window;

  // --- what the phone keeps

  const kept = {
    read(name, otherwise) {
      try { return JSON.parse(localStorage.getItem("gm:" + name + ":" + base)) ?? otherwise; } catch { return otherwise; }
    },
    write(name, value) {
      try { localStorage.setItem("gm:" + name + ":" + base, JSON.stringify(value)); return true; } catch { return false; }
    },
  };

  function minutesSince(at) { return Math.max(0, Math.floor((Date.now() - at) / 60000)); }

  function fill(text, n) { return text.replace("0", String(n)); }

  // --- connection

  let alive = Date.now(); // when the service was last heard
  let lost = false;
  let over = false;
  let following = "";

  function heard() {
    alive = Date.now();
    if (lost) { lost = false; flush(); }
    tellNet();
  }

  function tellNet() {
    if (!net || over || kind === "offline") { return; }
    const waiting = kind === "chat" ? unsent().length : 0;
    let text = words.live;
    if (lost) { text = minutesSince(alive) < 1 ? words.lost : fill(words.lostSince, minutesSince(alive)); }
    if (waiting > 0) { text += " " + fill(words.waiting, waiting); }
    body.classList.toggle("lost", lost);
    if (net.textContent !== text) { net.textContent = text; }
  }

  let source = null;
  let after = body.dataset.after || "";

  function connect() {
    if (over || document.hidden || kind === "offline" || !base) { return; }
    if (source) { source.close(); }
    const query = new URLSearchParams({ after });
    if (kind === "board") { query.set("of", "board"); query.set("said", body.dataset.said); }
    if (framed) { query.set("brief", "1"); }
    source = new EventSource(base + "/events?" + query);
    source.onopen = heard;
    source.addEventListener("now", (ev) => { heard(); if (kind === "board") { byId("as-of").textContent = JSON.parse(ev.data).at; } });
    source.addEventListener("entry", (ev) => { heard(); after = ev.lastEventId || after; insert(JSON.parse(ev.data)); });
    source.addEventListener("board", (ev) => { heard(); showBoard(JSON.parse(ev.data)); });
    source.addEventListener("answer", (ev) => {
      const answer = byId("answer");
      if (answer && !answer.querySelector("li")) { answer.innerHTML = JSON.parse(ev.data).html; }
    });
    source.addEventListener("closed", () => { over = true; source.close(); net.textContent = words.closed; body.classList.add("lost"); });
    source.onerror = () => {
      if (source.readyState === EventSource.CLOSED) { setTimeout(connect, 5000); }
      watch();
    };
  }

  function watch() {
    if (document.hidden) { return; }
    const silent = Date.now() - alive;
    if (!navigator.onLine || silent > 40000 || (source && source.readyState !== EventSource.OPEN && silent > 6000)) { lost = true; }
    tellNet();
  }

  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) { connect(); return; }
    if (source) { source.close(); }
  });
  window.addEventListener("offline", () => { lost = true; tellNet(); });
  window.addEventListener("online", () => { if (kind === "offline") { tryAgain(); } else { connect(); flush(); } });
  setInterval(watch, 5000);

  // --- the conversation

  const main = byId("talk-area");
  const talk = byId("talk");
  const newer = byId("newer");

  // keeping changes the conversation without moving what is being read.
  function keeping(change) {
    const away = main.scrollTop < -40;
    const height = main.scrollHeight;
    const top = main.scrollTop;
    change();
    if (away) {
      main.scrollTop = top - (main.scrollHeight - height);
      if (newer) { newer.hidden = main.scrollTop > -40; }
    } else {
      main.scrollTop = 0;
    }
  }

  function element(html) {
    const t = document.createElement("template");
    t.innerHTML = html.trim();
    return t.content.firstElementChild;
  }

  function dayOf(text) {
    const li = document.createElement("li");
    const span = document.createElement("span");
    li.className = "day";
    span.textContent = text;
    li.append(span);
    return li;
  }

  function insert(e) {
    if (!talk || talk.querySelector('[data-id="' + CSS.escape(e.id) + '"]')) { return; }
    const li = element(e.html);
    const pending = e.client && talk.querySelector('[data-client="' + CSS.escape(e.client) + '"]');
    keeping(() => {
      if (pending) { pending.remove(); drop(e.client); }
      const day = li.dataset.day;
      const known = talk.querySelector('li[data-id][data-day="' + CSS.escape(day) + '"]');
      const before = [...talk.querySelectorAll("li[data-id]")].reverse().find((o) => Number(o.dataset.at) <= e.at);
      let next = before ? before.nextElementSibling : talk.firstElementChild;
      if (next && next.classList.contains("day") && next.textContent === day) { next = next.nextElementSibling; }
      talk.insertBefore(li, next);
      if (!known) { talk.insertBefore(dayOf(day), li); }
      if (e.own) { fold(li); }
      const nothing = byId("nothing");
      if (nothing) { nothing.remove(); }
    });
    if (e.own && pending) { following = e.id; }
    reveal();
    save();
  }

  // reveal keeps what was just said in view with the beginning of its answer,
  // where the verdict stands.
  function reveal() {
    const own = following && talk.querySelector('[data-id="' + CSS.escape(following) + '"]');
    if (!own || own !== [...talk.querySelectorAll("li.own[data-id]")].pop()) { return; }
    const above = own.getBoundingClientRect().top - main.getBoundingClientRect().top;
    if (above < 0) { main.scrollTop += above - 8; }
  }

  // fold puts choices given before an entry behind a fold, as a reload would.
  function fold(own) {
    for (const form of talk.querySelectorAll("li.bot form.choices")) {
      if (form.closest("details") || !(form.compareDocumentPosition(own) & Node.DOCUMENT_POSITION_FOLLOWING)) { continue; }
      const details = document.createElement("details");
      const summary = document.createElement("summary");
      summary.textContent = words.choices;
      form.replaceWith(details);
      details.append(summary, form);
    }
  }

  if (newer) {
    newer.addEventListener("click", () => { main.scrollTop = 0; newer.hidden = true; });
    main.addEventListener("scroll", () => { if (main.scrollTop > -40) { newer.hidden = true; } }, { passive: true });
  }

  // --- sending

  const unsent = () => kept.read("unsent", []);
  const drop = (id) => { kept.write("unsent", unsent().filter((m) => m.id !== id)); };

  function newId() {
    const bytes = crypto.getRandomValues(new Uint8Array(12));
    return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  }

  function showUnsent(m) {
    if (!talk || talk.querySelector('[data-client="' + CSS.escape(m.id) + '"]')) { return; }
    const li = document.createElement("li");
    li.className = "own waiting";
    li.dataset.client = m.id;
    const bubble = document.createElement("div");
    bubble.className = "bubble";
    const text = document.createElement("p");
    text.textContent = m.text;
    const state = document.createElement("p");
    state.className = "at";
    state.textContent = words.unsent;
    bubble.append(text, state);
    li.append(bubble);
    talk.append(li);
    main.scrollTop = 0;
  }

  function refuse(m, why) {
    const li = talk && talk.querySelector('[data-client="' + CSS.escape(m.id) + '"]');
    if (li) { li.classList.add("refused"); li.querySelector(".at").textContent = words.refused + " " + (why || ""); }
  }

  async function post(fields) {
    const response = await fetch(base + "/messages", {
      method: "POST",
      headers: { "Accept": "application/json", "Content-Type": "application/x-www-form-urlencoded" },
      body: new URLSearchParams(fields),
      signal: AbortSignal.timeout(15000),
      cache: "no-store",
    });
    const answer = response.headers.get("Content-Type")?.startsWith("application/json") ? await response.json() : {};
    return { status: response.status, again: Number(response.headers.get("Retry-After")) || 0, ...answer };
  }

  let sending = false;
  let timer = 0;

  // flush sends what waits, in order. A message leaves the phone's memory only
  // when the service has said that it is stored; it carries the same id each
  // time, so that it is recorded once.
  async function flush() {
    clearTimeout(timer);
    if (sending || over || kind === "offline") { return; }
    sending = true;
    let again = 0;
    try {
      for (let m = unsent()[0]; m && !again; m = unsent()[0]) {
        again = await sendOne(m);
      }
    } catch {
      again = 4;
      watch();
    }
    sending = false;
    tellNet();
    if (again) { timer = setTimeout(flush, Math.min(60, again) * 1000); }
  }

  // sendOne returns 0 when the message needs no more sending, else the seconds
  // to wait.
  async function sendOne(m) {
    const got = await post({ id: m.id, text: m.text, age: Math.max(0, Date.now() - m.at) });
    if (got.stored) {
      heard();
      drop(m.id);
      if (got.entry) { insert(got.entry); }
      return 0;
    }
    if (got.status === 429 || got.status >= 500) { return got.again || 5; }
    drop(m.id);
    refuse(m, got.why);
    return 0;
  }

  function say(text) {
    const m = { id: newId(), text, at: Date.now() };
    const all = unsent();
    all.push(m);
    if (!kept.write("unsent", all)) { return false; }
    showUnsent(m);
    flush();
    return true;
  }

  // A pressed button is judged when it arrives. One that can't arrive now is
  // not kept: what it would answer may be over by then.
  async function press(form, button) {
    const note = form.querySelector(".pressed") || form.appendChild(document.createElement("p"));
    note.className = "pressed";
    note.setAttribute("role", "status");
    note.textContent = words.sending;
    const fields = { id: newId(), do: button.value, of: form.elements.of.value };
    for (const b of form.querySelectorAll("button")) { b.setAttribute("aria-disabled", "true"); }
    try {
      const got = await post(fields);
      note.textContent = got.stored ? "" : (got.why || words.notPressed);
      if (got.stored) { heard(); following = got.entry ? got.entry.id : ""; if (got.entry) { insert(got.entry); } }
    } catch {
      note.textContent = words.notPressed;
      watch();
    }
    for (const b of form.querySelectorAll("button")) { b.removeAttribute("aria-disabled"); }
  }

  if (kind !== "board") {
    document.addEventListener("submit", (ev) => {
      const form = ev.target;
      const button = ev.submitter;
      if (form.classList.contains("choices")) {
        ev.preventDefault();
        if (button.getAttribute("aria-disabled") !== "true") { press(form, button); }
        return;
      }
      if (!form.classList.contains("write")) { return; }
      const field = byId("text");
      const command = button && button.name === "command" ? button.value : "";
      const text = command || field.value.trim();
      if (!text) { ev.preventDefault(); field.focus(); return; }
      if (!say(text)) {
        if (kind === "offline") { ev.preventDefault(); net.textContent = words.full; }
        return; // no memory to keep it in: the form sends itself
      }
      ev.preventDefault();
      if (!command) { field.value = ""; }
      const menu = form.querySelector("details.menu");
      if (menu) { menu.open = false; }
    });
    for (const m of unsent()) { showUnsent(m); }
  }

  // --- big number keys: they type digits, nothing else

  const pad = byId("pad");
  const padSwitch = byId("pad-switch");
  if (pad && padSwitch) {
    const field = byId("text");
    const usual = field.getAttribute("inputmode");
    const turn = (on) => {
      pad.hidden = !on;
      padSwitch.setAttribute("aria-expanded", String(on));
      field.setAttribute("inputmode", on ? "none" : usual);
      kept.write("pad", on);
    };
    padSwitch.hidden = false;
    padSwitch.addEventListener("click", () => { turn(pad.hidden); });
    pad.addEventListener("click", (ev) => {
      const key = ev.target.closest("button[data-key]");
      if (!key) { return; }
      field.value = key.dataset.key === "back" ? field.value.slice(0, -1) : (field.value + key.dataset.key).slice(0, 60);
    });
    if (kept.read("pad", false)) { turn(true); }
  }

  // --- the board

  const live = byId("live");
  const news = byId("news");
  let held = null;

  function busy() {
    const at = document.activeElement;
    if (live.contains(at) && at.matches("input, select, textarea")) { return true; }
    return [...live.querySelectorAll("details[open] input")].some((i) => i.value !== i.defaultValue);
  }

  function showBoard(e) {
    if (busy()) { held = e; news.hidden = false; return; }
    held = null;
    news.hidden = true;
    const open = new Set([...live.querySelectorAll("details[open]")].map((d) => d.dataset.key));
    const at = document.activeElement;
    const focused = live.contains(at) ? at.closest("[data-key]")?.dataset.key : null;
    live.innerHTML = e.html;
    for (const d of live.querySelectorAll("details")) { d.open = open.has(d.dataset.key); }
    if (focused) { live.querySelector('[data-key="' + CSS.escape(focused) + '"] > summary')?.focus({ preventScroll: true }); }
    save();
  }

  if (news) { news.addEventListener("click", () => { if (held) { const e = held; document.activeElement.blur(); for (const d of live.querySelectorAll("details[open]")) { d.open = false; } showBoard(e); } }); }
  const print = byId("print");
  if (print) { print.hidden = false; print.addEventListener("click", () => { window.print(); }); }

  // --- without network: what was seen last, and how old it is

  const seenName = kind === "board" || location.pathname.endsWith("/board") ? "board" : "chat";
  let saving = 0;

  function save() {
    if (kind === "offline") { return; }
    clearTimeout(saving);
    saving = setTimeout(() => {
      const copy = (kind === "board" ? live : talk).cloneNode(true);
      for (const gone of copy.querySelectorAll("form, details, .waiting, .acts")) { gone.remove(); }
      const items = kind === "board" ? [] : [...copy.children];
      for (const li of items.slice(0, Math.max(0, items.length - 40))) { li.remove(); }
      kept.write("seen-" + seenName, { at: Date.now(), title: document.title, html: copy.innerHTML });
    }, 400);
  }

  function showOld() {
    const seen = kept.read("seen-" + seenName, null);
    const age = byId("age");
    if (!seen) { age.textContent = words.nothingSeen; return; }
    document.title = seen.title;
    byId("old-title").textContent = seen.title;
    const place = seenName === "board" ? byId("live") : talk;
    place.innerHTML = seen.html;
    byId(seenName === "board" ? "talk" : "live").remove();
    for (const m of unsent()) { showUnsent(m); }
    const tell = () => { age.textContent = fill(words.old, minutesSince(seen.at)); };
    tell();
    setInterval(tell, 20000);
  }

  async function tryAgain() {
    try {
      await fetch(base, { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(8000) });
      location.reload();
    } catch { /* still no network */ }
  }

  if (kind === "offline") {
    showOld();
    setInterval(tryAgain, 5000);
    byId("again").addEventListener("click", tryAgain);
    return;
  }

  // A stream opened earlier would keep the browser saying that it loads.
  if (document.readyState === "complete") { connect(); } else { window.addEventListener("load", () => setTimeout(connect, 0)); }
  tellNet();
  if (kind === "chat") { flush(); }
  save();
  if ("serviceWorker" in navigator && !framed && base) {
    navigator.serviceWorker.register("/page/worker.js?lang=" + encodeURIComponent(document.documentElement.lang), { scope: "/c/" }).catch(() => {});
  }
})();
