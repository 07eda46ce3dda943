// --- forms

// The button that was pressed: browsers did not say in those days. Enter presses the first one.
let pressed = null;
document.addEventListener("click", (ev) => {
  pressed = ev.target.closest ? ev.target.closest("button") : null;
}, true);

// taken tells whether the script sends a form; one that it can't send, or fails to, sends itself.
function taken(form, button) {
  if (form.classList.contains("choices")) {
    if (button && button.getAttribute("aria-disabled") !== "true") { press(form, button); }
    return true;
  }
  if (!form.classList.contains("write")) { return false; }
  const command = button && button.name === "command" ? button.value : "";
  const field = byId("text");
  const text = command || field.value.trim();
  if (!text) { field.focus(); return true; }
  if (!say(text)) {
    if (offline) { net.textContent = word("full"); }
    return offline;
  }
  if (!command) { field.value = ""; }
  all("details.menu", form).forEach((menu) => { menu.open = false; });
  return true;
}

if (kind === "chat" || offline) {
  document.addEventListener("submit", (ev) => {
    const button = pressed && ev.target.contains(pressed) ? pressed : null;
    let done = false;
    try { done = taken(ev.target, button); } catch (e) { done = false; }
    if (done) { ev.preventDefault(); }
  });
  // Another tab of this phone writes into the same memory.
  window.addEventListener("storage", (ev) => { if (ev.key === kept.key("unsent")) { showWaiting(); } });
}

function showWaiting() {
  const waiting = unsent();
  waiting.forEach(showUnsent);
  all("#talk > li.waiting").forEach((li) => {
    const gone = !waiting.some((m) => m.id === li.getAttribute("data-client"));
    if (gone && !li.classList.contains("refused")) { li.parentNode.removeChild(li); }
  });
  tellNet();
}

// --- the field: labels to begin with, letters or numbers, big number keys. They type no figure by themselves.

function begin(field, label) {
  const typed = field.value;
  const several = typed.indexOf(":") >= 0;
  field.value = several ? typed.replace(/[, ]+$/, "") + ", " + label + ": " : label + ": " + typed;
  focusEnd(field);
}

function focusEnd(field) {
  field.blur(); // a keyboard that is up changes only when it comes up anew
  field.focus();
  field.setSelectionRange(field.value.length, field.value.length);
}

function turnKeys(field, button) {
  const letters = field.getAttribute("inputmode") === "decimal";
  field.setAttribute("inputmode", letters ? "text" : "decimal");
  button.textContent = letters ? "123" : "ABC";
  const label = button.getAttribute("aria-label");
  button.setAttribute("aria-label", button.getAttribute("data-other"));
  button.setAttribute("data-other", label);
  focusEnd(field);
}

function turnPad(on) {
  const pad = byId("pad");
  pad.hidden = !on;
  byId("pad-switch").setAttribute("aria-expanded", String(on));
  byId("text").setAttribute("inputmode", on ? "none" : "decimal");
  kept.write("pad", on);
}

if (kind === "chat") {
  const field = byId("text");
  document.addEventListener("click", (ev) => {
    const button = ev.target.closest ? ev.target.closest("button") : null;
    if (!button || !field) { return; }
    const key = button.getAttribute("data-key");
    if (button.name === "put") { ev.preventDefault(); begin(field, button.value); }
    if (button.name === "keys") { ev.preventDefault(); turnKeys(field, button); }
    if (button.id === "pad-switch") { turnPad(byId("pad").hidden); }
    if (key) { field.value = key === "back" ? field.value.slice(0, -1) : (field.value + key).slice(0, 60); }
  });
  if (byId("pad") && kept.read("pad", false)) { turnPad(true); }
}
