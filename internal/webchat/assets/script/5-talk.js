// --- the conversation

function element(html) {
  const t = document.createElement("template");
  t.innerHTML = html.trim();
  return t.content.firstElementChild;
}

function dayOf(text) {
  const li = document.createElement("li");
  li.className = "day";
  li.appendChild(document.createElement("span")).textContent = text;
  return li;
}

// entryOf finds an entry by an attribute, without a selector that its value could break.
const entryOf = (name, value) => all("#talk > li[" + name + "]").filter((li) => li.getAttribute(name) === value)[0];

function insert(e) {
  const known = talk && entryOf("data-id", e.id);
  const pending = e.client && talk && entryOf("data-client", e.client);
  if (pending) { pending.parentNode.removeChild(pending); }
  if (e.client) { drop(e.client); }
  if (!talk) { return; }
  const li = element(e.html);
  if (known) { known.parentNode.replaceChild(li, known); return; }
  const earlier = all("#talk > li[data-id]").filter((o) => Number(o.getAttribute("data-at")) <= e.at).pop();
  let next = earlier ? earlier.nextElementSibling : talk.firstElementChild;
  const day = li.getAttribute("data-day");
  if (next && next.className === "day" && next.textContent === day) { next = next.nextElementSibling; }
  const begins = !entryOf("data-day", day);
  talk.insertBefore(li, next);
  if (begins) { talk.insertBefore(dayOf(day), li); }
  if (e.own) { fold(li); }
  if (byId("nothing")) { byId("nothing").hidden = true; }
  arrived(li, Boolean(e.own));
  save();
}

// fold puts choices given before an entry behind a fold, as a reload would.
function fold(own) {
  all("li.bot form.choices", talk).forEach((form) => {
    if (form.parentNode.closest("details") || !(form.compareDocumentPosition(own) & 4)) { return; }
    const details = document.createElement("details");
    details.appendChild(document.createElement("summary")).textContent = word("choices");
    form.parentNode.replaceChild(details, form);
    details.appendChild(form);
  });
}
