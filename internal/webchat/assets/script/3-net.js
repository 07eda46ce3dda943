// --- connection

let alive = Date.now(); // when the service was last heard
let reached = false;
let lost = false;
let over = false; // the link opens nothing any more
let source = null;
let after = body.getAttribute("data-after") || "";

function heard() {
  alive = Date.now();
  const again = lost || !reached;
  reached = true;
  lost = false;
  tellNet();
  if (again) { flush(); sendReadings(); showKeep(); }
}

function tellNet() {
  if (!net || over || offline) { return; }
  let text = word(reached ? "live" : "connecting");
  if (lost) { text = minutesSince(alive) < 1 ? word("lost") : fill(word("lost-since"), minutesSince(alive)); }
  if (kind === "chat" && unsent().length > 0) { text += " " + fill(word("waiting"), unsent().length); }
  body.classList.toggle("lost", lost);
  if (net.textContent !== text) { net.textContent = text; }
  showKeep();
}

// close shuts the page for good: the link opens nothing any more.
function close(why) {
  over = true;
  if (source) { source.close(); }
  kept.forget();
  all("li.waiting").forEach((li) => li.parentNode.removeChild(li));
  net.textContent = why || word("closed");
  body.classList.add("lost");
}

function address() {
  let query = "?after=" + encodeURIComponent(after);
  if (kind === "board") {
    query += "&of=board&said=" + encodeURIComponent(body.getAttribute("data-said")) + "&dive_shown=" + body.getAttribute("data-dive") +
      "&show=" + body.getAttribute("data-show");
  }
  return base + "/events" + query;
}

const onNews = {
  now: (data) => { if (byId("as-of")) { byId("as-of").textContent = data.at; } },
  entry: (data, id) => { after = id || after; insert(data); },
  board: (data) => { showBoard(data); },
  answer: (data) => { if (byId("answer") && !byId("answer").querySelector("li")) { byId("answer").innerHTML = data.html; } },
  closed: () => { close(); },
};

function connect() {
  if (over || document.hidden || offline || !base || kind === "form") { return; }
  if (source) { source.close(); }
  if (!window.EventSource) { ask(); return; }
  source = new EventSource(address() + (framed ? "&brief=1" : ""));
  source.onopen = heard;
  Object.keys(onNews).forEach((name) => {
    source.addEventListener(name, (ev) => { heard(); onNews[name](JSON.parse(ev.data), ev.lastEventId); });
  });
  source.onerror = () => {
    if (source.readyState === 2) { setTimeout(connect, 5000); }
    watch();
  };
}

// ask is for browsers without a live stream: it asks for what is new every few seconds.
function ask() {
  const call = new XMLHttpRequest();
  call.open("GET", address() + "&brief=1");
  call.timeout = 15000;
  call.onload = () => {
    if (call.status !== 200) { return; }
    heard();
    call.responseText.split("\n\n").forEach((block) => {
      const field = (name) => ((block.match(new RegExp("^" + name + ": (.*)$", "m")) || [])[1]);
      if (onNews[field("event")]) { onNews[field("event")](JSON.parse(field("data")), field("id")); }
    });
  };
  call.onerror = call.ontimeout = () => { lost = true; };
  call.onloadend = () => { watch(); if (!over) { setTimeout(connect, 4000); } };
  call.send();
}

function watch() {
  if (document.hidden) { return; }
  const silent = Date.now() - alive;
  const shut = source && source.readyState !== 1 && silent > 6000;
  if (navigator.onLine === false || silent > 40000 || shut) { lost = true; }
  tellNet();
}

document.addEventListener("visibilitychange", () => {
  if (!document.hidden) { connect(); } else if (source) { source.close(); }
});
window.addEventListener("offline", () => { lost = true; tellNet(); });
window.addEventListener("online", () => { if (offline) { tryAgain(); } else { connect(); flush(); sendReadings(); } });
setInterval(watch, 5000);
