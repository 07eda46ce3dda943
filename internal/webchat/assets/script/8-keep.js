// --- readings recorded on the board while there is no network

const onBoard = kind === "board" || (offline && /\/board(\/|$)/.test(location.pathname));
const keep = byId("keep");
const readings = () => kept.read("readings", []);
const dropReading = (id) => { kept.write("readings", readings().filter((r) => r.id !== id)); };
let keptAt = 0; // when the table was asked for last
let tableTimer = 0;
let sendingReading = "";

// keepTable keeps what readings of all dives come to, anew after each change of the board.
function keepTable() {
  if (kind !== "board" || over || ended) { return; }
  clearTimeout(tableTimer);
  tableTimer = setTimeout(() => {
    const call = new XMLHttpRequest();
    call.open("GET", base + "/board/kept");
    call.timeout = 15000;
    call.onload = () => {
      if (call.status !== 200 || over) { return; }
      kept.write("table", { at: Date.now(), table: JSON.parse(call.responseText) });
      keptAt = Date.now();
    };
    call.send();
  }, Math.max(0, keptAt + 5000 - Date.now()));
}

// judged is what the kept table says of a number: a stop is one whatever else there is; a go is none where the table doesn't say enough.
function judged(row, percent) {
  const whole = percent < 20 ? 0 : Math.max(21, Math.ceil(percent - 1e-9));
  const band = row.bands.filter((b) => b.from <= whole).pop();
  if (band.status === "no-go") { return band.text; }
  if (row.else) { return word("keep-else"); }
  return band.text + (row.lean && percent < row.lean ? " · " + row.time : "");
}

function part(name, within, text) {
  const e = within.appendChild(document.createElement(name));
  if (text) { e.textContent = text; }
  return e;
}

function choice(form, name, label, options) {
  const outer = part("label", form, label + " ");
  const select = part("select", outer);
  select.name = name;
  options.forEach((o) => { part("option", select, o.text).value = o.value; });
  return select;
}

// shownFirst are the rows of a table, those of the dive that is shown before the others.
function shownFirst(rows) {
  const of = (shown) => rows.filter((r) => (String(r.dive) === diveShown) === shown);
  return of(true).concat(of(false));
}

// buildKeep makes the form once; what it chooses from is the table's.
function buildKeep(table) {
  keep.textContent = "";
  part("h2", keep, word("keep-title"));
  part("p", keep, word("keep-how"));
  const form = part("form", keep);
  form.className = "one";
  choice(form, "cylinder", word("keep-cylinder"), shownFirst(table.rows).map((r) => ({ value: r.c, text: r.who + " · " + r.name })));
  const field = part("input", part("label", form, word("keep-percent") + " "));
  field.name = "percent";
  field.maxLength = 8;
  field.setAttribute("inputmode", "decimal");
  field.setAttribute("autocomplete", "off");
  if (table.analysers.length > 0) {
    choice(form, "analyser", word("keep-analyser"), [{ value: "", text: word("keep-none") }].concat(table.analysers.map((a) => ({ value: a, text: a }))));
  }
  const note = part("p", form);
  note.setAttribute("role", "alert");
  const button = part("button", form, word("keep"));
  button.className = "send";
  button.type = "submit";
  part("ul", keep).id = "keep-list";
  form.addEventListener("submit", (ev) => { ev.preventDefault(); ev.stopPropagation(); note.textContent = keepReading(form, field); });
}

// keepReading keeps one number; it returns what is wrong with it.
function keepReading(form, field) {
  const typed = field.value.trim().replace(",", ".");
  const percent = Number(typed);
  if (!/^\d{2}(\.\d{1,2})?$/.test(typed) || percent < 15 || percent > 45) { field.focus(); return word("keep-range"); }
  const now = kept.read("table", null);
  const row = now.table.rows.filter((r) => r.c === form.elements.cylinder.value)[0];
  const analyser = form.elements.analyser ? form.elements.analyser.value : "";
  const one = { id: newId(), at: Date.now(), c: row.c, who: row.who + " · " + row.name, percent: typed, analyser: analyser, says: judged(row, percent), table: now.at };
  if (!kept.write("readings", readings().concat([one]))) { return word("full"); }
  field.value = "";
  listReadings();
  if (!lost && !offline) { sendReadings(); }
  return "";
}

function listReadings() {
  const list = byId("keep-list");
  const waiting = readings();
  list.textContent = "";
  waiting.forEach((r) => {
    const li = part("li", list);
    part("p", li, r.who + ": " + r.percent + "\u00a0%" + (r.analyser ? " · " + r.analyser : "")).className = "strong";
    part("p", li, r.says).className = "strong";
    part("p", li, fill(word("keep-table"), Math.max(0, Math.floor((r.at - r.table) / 60000))));
    part("p", li, r.refused ? word("refused") + " " + r.refused : word("unsent"));
    const back = part("button", li, word("keep-drop"));
    back.type = "button";
    back.className = "chip";
    back.disabled = r.id === sendingReading;
    back.addEventListener("click", () => { dropReading(r.id); listReadings(); showKeep(); });
  });
}

// showKeep shows the form while there is no network, and what waits until it is sent.
function showKeep() {
  if (!keep || !onBoard) { return; }
  const table = kept.read("table", null);
  const wanted = readings().length > 0 || ((lost || offline) && table && table.table.rows.length > 0);
  if (wanted && keep.hidden && table) { buildKeep(table.table); listReadings(); }
  keep.hidden = !wanted || !table;
}

// sendReadings sends what was kept, in order, each with its own id and its age. One leaves the phone only when it is stored.
function sendReadings() {
  const r = readings().filter((one) => !one.refused)[0];
  if (!r || sendingReading || over || offline || kind === "form") { return; }
  sendingReading = r.id;
  const fields = { act: "paper", id: r.id, age: Math.max(0, Date.now() - r.at) };
  fields["percent_" + r.c] = r.percent;
  fields["analyser_" + r.c] = r.analyser;
  try {
    post(fields, (got) => { sendingReading = ""; readingSent(r, got); }, "/board");
  } catch (e) { sendingReading = ""; }
}

function readingSent(r, got) {
  if (!got || got.status === 429 || got.status >= 500) {
    setTimeout(sendReadings, ((got && got.again) || 5) * 1000);
  } else if (got.stored) {
    dropReading(r.id);
    showSent(got.answer);
    sendReadings();
  } else {
    kept.write("readings", readings().map((one) => (one.id === r.id ? Object.assign(one, { refused: got.why || String(got.status) }) : one)));
  }
  if (byId("keep-list")) { listReadings(); }
  showKeep();
}

// showSent puts what the service made of a reading above the board.
function showSent(html) {
  if (!html || !live || kind !== "board") { return; }
  const answer = document.createElement("section");
  answer.className = "answer";
  answer.setAttribute("role", "status");
  answer.innerHTML = html;
  keep.parentNode.insertBefore(answer, keep);
}
