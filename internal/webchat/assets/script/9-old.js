// --- without network: what was seen last, and how old it is

const ofBoard = kind === "board" || /\/board(\/|$)/.test(location.pathname);
let saving = 0;

function save() {
  if (offline || ended || kind === "form") { return; }
  clearTimeout(saving);
  saving = setTimeout(() => {
    if (over) { return; }
    const copy = (kind === "board" ? live : talk).cloneNode(true);
    all("form, details, .waiting, .acts", copy).forEach((gone) => { gone.parentNode.removeChild(gone); });
    const items = kind === "board" ? [] : Array.prototype.slice.call(copy.children);
    items.slice(0, Math.max(0, items.length - 40)).forEach((li) => { copy.removeChild(li); });
    const seen = { at: Date.now(), title: document.title, html: copy.innerHTML };
    kept.write(ofBoard ? "seen-board" : "seen-chat", seen);
    if (ofBoard) { kept.write("seen-board-" + diveShown, seen); } // each dive's as it was seen
  }, 400);
}

function showOld() {
  const seen = kept.read(ofBoard ? "seen-board" + (diveShown && "-" + diveShown) : "seen-chat", null);
  const age = byId("age");
  if (ofBoard) { // has nothing to write but readings
    document.querySelector(".line").hidden = true;
    all("footer .quiet").forEach((p) => { p.hidden = true; });
    showKeep();
  }
  if (!seen) { age.textContent = word("nothing-seen"); return; }
  document.title = seen.title;
  byId("old-title").textContent = seen.title;
  (ofBoard ? live : talk).innerHTML = seen.html;
  const unused = ofBoard ? talk : live;
  unused.parentNode.removeChild(unused);
  const tell = () => { age.textContent = fill(word("old"), minutesSince(seen.at)); };
  tell();
  setInterval(tell, 20000);
  if (ofBoard) { // opens at its top, where the verdict stands
    main.scrollTop = 0;
    return;
  }
  unsent().forEach(showUnsent);
  main.scrollTop = main.scrollHeight;
}

function tryAgain() {
  const call = new XMLHttpRequest();
  call.open("HEAD", base);
  call.timeout = 8000;
  call.onload = () => { location.reload(); };
  call.send();
}

function start() {
  if (offline) {
    root.classList.add("scripted");
    showOld();
    setInterval(tryAgain, 5000);
    byId("again").addEventListener("click", tryAgain);
    return;
  }
  tellNet();
  if (kind === "board") { keepTable(); }
  if (kind === "chat") {
    unsent().forEach(showUnsent);
    const due = byId("due");
    if (due && unsent().length === 0) { showFrom(due); } else { main.scrollTop = main.scrollHeight; }
    tellBelow();
    flush();
  }
  save();
  root.classList.add("scripted"); // what only the plain page needs goes
  // A stream opened earlier would keep the browser saying that it loads.
  if (document.readyState === "complete") { connect(); } else { window.addEventListener("load", () => setTimeout(connect, 0)); }
  if (navigator.serviceWorker && !framed && base) {
    navigator.serviceWorker.register("/page/worker.js?lang=" + encodeURIComponent(root.lang), { scope: "/c/" }).catch(() => {});
  }
}

start();
