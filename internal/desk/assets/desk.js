"use strict";
// Pages work without this. It looks again by itself, takes a dropped file,
// prints, and knows the time zone of the office.
(() => {
  const live = document.getElementById("live");
  if (document.body.hasAttribute("data-live") && live) {
    const look = async () => {
      if (document.hidden || live.contains(document.activeElement)) return;
      try {
        const r = await fetch(location.href, { headers: { Accept: "text/html" } });
        if (!r.ok) return;
        const fresh = new DOMParser().parseFromString(await r.text(), "text/html").getElementById("live");
        if (fresh && fresh.innerHTML !== live.innerHTML) live.innerHTML = fresh.innerHTML;
      } catch { /* out of reach: what is shown stays */ }
    };
    setInterval(look, 15000);
    document.addEventListener("visibilitychange", look);
  }
  const drop = document.getElementById("drop");
  if (drop) {
    const file = document.getElementById("file");
    const over = on => e => { e.preventDefault(); document.body.classList.toggle("over-it", on); };
    document.addEventListener("dragover", over(true));
    document.addEventListener("dragleave", over(false));
    document.addEventListener("drop", e => {
      over(false)(e);
      if (!e.dataTransfer.files.length) return;
      file.files = e.dataTransfer.files;
      drop.requestSubmit();
    });
  }
  const zone = document.getElementById("time_zone");
  if (zone && !zone.value) zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone || "";
  for (const b of document.querySelectorAll("[data-print]")) {
    b.hidden = false;
    b.addEventListener("click", () => print());
  }
})();
