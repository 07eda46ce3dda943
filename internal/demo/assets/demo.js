"use strict";
// Keeps the demo's clock going on the page, and moves it without loading the
// phones again: they hear what is new by themselves.
(() => {
  const now = document.getElementById("now");
  const form = document.getElementById("clock");
  async function ask(options) {
    const response = await fetch("/clock", { headers: { "Accept": "application/json" }, cache: "no-store", ...options });
    if (!response.ok) { throw new Error(await response.text()); }
    const clock = await response.json();
    now.textContent = clock.now;
    for (const b of form.querySelectorAll("button")) { b.disabled = clock.past.includes(b.value); }
  }
  form.addEventListener("submit", (ev) => {
    ev.preventDefault();
    const to = ev.submitter.value;
    for (const b of form.querySelectorAll("button")) { b.disabled = true; }
    ask({ method: "POST", body: new URLSearchParams({ to }) })
      .then(() => { document.getElementById("shop").contentWindow.location.reload(); })
      .catch((e) => { now.textContent = e.message; location.reload(); });
  });
  setInterval(() => { if (!document.hidden) { ask({}).catch(() => {}); } }, 5000);
})();
