// --- sending

const unsent = () => kept.read("unsent", []);
const drop = (id) => { kept.write("unsent", unsent().filter((m) => m.id !== id)); };

function newId() {
  const bytes = new Uint8Array(12);
  if (window.crypto && crypto.getRandomValues) { crypto.getRandomValues(bytes); } else { bytes.forEach((_, i) => { bytes[i] = Math.random() * 256; }); }
  return Array.prototype.map.call(bytes, (b) => ("0" + b.toString(16)).slice(-2)).join("");
}

function showUnsent(m) {
  if (!talk || entryOf("data-client", m.id)) { return; }
  const li = document.createElement("li");
  const bubble = document.createElement("div");
  li.className = "own waiting";
  li.setAttribute("data-client", m.id);
  bubble.className = "bubble";
  bubble.appendChild(document.createElement("p")).textContent = m.text;
  const state = bubble.appendChild(document.createElement("p"));
  state.className = "at";
  state.textContent = word("unsent");
  li.appendChild(bubble);
  talk.appendChild(li);
  arrived(li, true);
}

function refuse(m, why) {
  const li = talk && entryOf("data-client", m.id);
  if (!li) { return; }
  li.classList.add("refused");
  li.querySelector(".at").textContent = word("refused") + " " + (why || "");
}

// post sends a form and gives what was answered, or null when nothing came back. It throws when it can't even begin.
function post(fields, done, to) {
  const call = new XMLHttpRequest();
  call.open("POST", base + (to || "/messages"));
  call.timeout = 15000;
  call.setRequestHeader("Accept", "application/json");
  call.setRequestHeader("Content-Type", "application/x-www-form-urlencoded");
  call.onload = () => { done(read(call)); };
  call.onerror = call.ontimeout = call.onabort = () => { done(null); };
  call.send(Object.keys(fields).map((k) => encodeURIComponent(k) + "=" + encodeURIComponent(fields[k])).join("&"));
}

function read(call) {
  let answer = {};
  try { answer = JSON.parse(call.responseText); } catch (e) { /* a proxy's page: only the status counts */ }
  return { status: call.status, again: Number(call.getResponseHeader("Retry-After")) || 0, stored: answer.stored, why: answer.why, entry: answer.entry, answer: answer.answer };
}

let sending = false;
let timer = 0;

// flush sends what waits, in order. A message leaves the phone's memory only when the service has said that it is
// stored; it carries the same id each time, so that it is recorded once.
function flush() {
  clearTimeout(timer);
  const m = unsent()[0];
  if (sending || over || offline || !m) { return; }
  sending = true;
  try {
    post({ id: m.id, text: m.text, age: Math.max(0, Date.now() - m.at) }, (got) => { sending = false; answered(m, got); });
  } catch (e) { sending = false; throw e; }
}

function answered(m, got) {
  let wait = 0;
  if (!got) { wait = 4; watch(); } else if (got.stored) {
    heard();
    if (got.entry) { insert(got.entry); }
    drop(m.id);
  } else if (got.status === 429 || got.status >= 500) { wait = got.again || 5; } else {
    drop(m.id);
    refuse(m, got.why);
    if (got.status === 404 || got.status === 410) { close(got.why); }
  }
  tellNet();
  timer = setTimeout(flush, Math.min(60, wait) * 1000);
}

// say keeps a message and sends it; false when it can do neither, and the form has to.
function say(text) {
  const m = { id: newId(), text: text, at: Date.now() };
  if (!kept.write("unsent", unsent().concat([m]))) { return false; }
  said = Date.now();
  try { showUnsent(m); flush(); } catch (e) {
    drop(m.id);
    const li = entryOf("data-client", m.id);
    if (li) { li.parentNode.removeChild(li); }
    return false;
  }
  return true;
}

// press sends a button. It is judged when it arrives, so that one that can't arrive now is not kept: what it would
// answer may be over by then.
function press(form, button) {
  const note = form.querySelector(".pressed") || form.appendChild(document.createElement("p"));
  const held = (on) => { all("button", form).forEach((b) => { if (on) { b.setAttribute("aria-disabled", "true"); } else { b.removeAttribute("aria-disabled"); } }); };
  note.className = "pressed";
  note.setAttribute("role", "status");
  note.textContent = word("sending");
  said = Date.now();
  post({ id: newId(), do: button.value, of: form.elements.of.value }, (got) => {
    held(false);
    note.textContent = got && got.stored ? "" : (got && got.why) || word("not-pressed");
    if (!got) { watch(); } else if (got.stored) { heard(); if (got.entry) { insert(got.entry); } }
  });
  held(true);
}
