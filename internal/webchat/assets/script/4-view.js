// --- what is in view: what is due now, and a sign of what lies below it

const main = byId("talk-area");
const talk = byId("talk");
const newer = byId("newer");
let stuck = true; // the end is in view, and stays there while the page changes
let put = 0; // where the script put the view: who is elsewhere went there by themself
let said = 0; // when this phone sent something last

const moved = () => !stuck && Math.abs(main.scrollTop - put) > 40;
const atEnd = () => main.scrollHeight - main.scrollTop - main.clientHeight < 40;

// showFrom brings the beginning of something to the top of the view, where a verdict stands.
function showFrom(li) {
  main.scrollTop += li.getBoundingClientRect().top - main.getBoundingClientRect().top - 8;
  put = main.scrollTop;
  tellBelow();
}

const isBelow = (li) => li.getBoundingClientRect().bottom > main.getBoundingClientRect().bottom + 8;

// tellBelow says how many questions lie below the view, or that anything does.
function tellBelow() {
  if (!newer) { return; }
  stuck = atEnd();
  const questions = all("li.bot form.asks").filter((f) => !f.parentNode.closest("details") && isBelow(f)).length;
  const last = all("#talk > li").pop();
  newer.hidden = stuck || !last || !isBelow(last);
  const counted = word("below").split("|");
  newer.textContent = questions > 0 ? counted[Math.min(questions, counted.length) - 1] : word("newer");
}

// showNext goes to the first question that lies below, or on, where that begins above already.
function showNext() {
  const below = all("#talk > li").filter(isBelow);
  const next = below.filter((li) => li.querySelector("form.asks") && !li.querySelector("details form.asks"))[0] || below[0];
  if (!next) { return; }
  const at = main.scrollTop;
  showFrom(next);
  if (main.scrollTop <= at) { main.scrollTop = put = at + Math.max(60, main.clientHeight - 60); }
  tellBelow();
}

// arrived is what comes after something new was put into the conversation. What answers this phone leaves what it said in view; what comes
// by itself is shown from its beginning, unless somebody is reading further up.
function arrived(li, own) {
  const answers = Date.now() - said < 60000;
  if (own) { showFrom(li); } else if (answers) { showAnswer(); } else if (!moved()) { showFrom(li); }
  tellBelow();
}

function showAnswer() {
  const own = all("li.own").pop();
  if (own && own.getBoundingClientRect().top > main.getBoundingClientRect().top) { showFrom(own); }
}

if (main && newer) {
  newer.addEventListener("click", showNext);
  main.addEventListener("scroll", tellBelow);
  // A keyboard that comes up takes half of the view.
  window.addEventListener("resize", () => { if (stuck) { main.scrollTop = main.scrollHeight; } tellBelow(); });
}
