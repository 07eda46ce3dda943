// --- the board

const live = byId("live");
const news = byId("news");
let held = null;

function showBoard(e) {
  const at = document.activeElement;
  if (live.contains(at) && at.matches("input, select, textarea")) { held = e; news.hidden = false; return; }
  held = null;
  news.hidden = true;
  const open = all("details[open]", live).map((d) => d.getAttribute("data-key"));
  const focused = live.contains(at) ? at.getAttribute("data-focus") : null;
  live.innerHTML = e.html;
  all("details", live).forEach((d) => { d.open = open.indexOf(d.getAttribute("data-key")) >= 0; });
  if (focused) { all("[data-focus]", live).filter((x) => x.getAttribute("data-focus") === focused).forEach((x) => x.focus()); }
  save();
  keepTable();
}

if (news) { news.addEventListener("click", () => { document.activeElement.blur(); if (held) { showBoard(held); } }); }
if (byId("print")) {
  byId("print").hidden = false;
  byId("print").addEventListener("click", () => { window.print(); });
}
