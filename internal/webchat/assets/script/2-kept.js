// --- what the phone keeps of this link: messages not sent yet, and what was seen last

const kept = {
  key: (name) => "gm:" + name + ":" + base,
  read: (name, otherwise) => {
    try {
      const value = JSON.parse(localStorage.getItem(kept.key(name)));
      return value === null ? otherwise : value;
    } catch (e) { return otherwise; }
  },
  write: (name, value) => {
    try { localStorage.setItem(kept.key(name), JSON.stringify(value)); return true; } catch (e) { return false; }
  },
  // forget leaves nothing behind on a phone that may be shared.
  forget: () => {
    try {
      Object.keys(localStorage).filter((k) => k.slice(-base.length - 1) === ":" + base).forEach((k) => localStorage.removeItem(k));
    } catch (e) { /* nothing can be kept, so nothing is */ }
  },
};

const ended = kind === "closed" || body.getAttribute("data-over") === "1";
if (ended) { kept.forget(); }
if (kind === "closed" || kind === "refused" || kind === "enter") { return; }
