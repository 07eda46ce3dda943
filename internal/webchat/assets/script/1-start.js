// What a page needs a script for: new messages without reloading, messages kept on the phone while there is no
// network, and what is due now in view. Without it the pages are plain forms that do the same.
//
// Written for phones of 2018: no function and no syntax that is newer. What stands in the parts of this folder is
// one function; a phone that lacks what it is built on keeps the plain page.
const body = document.body;
const root = document.documentElement;
if (!window.Promise || !window.XMLHttpRequest || !root.closest || !root.classList || !window.JSON) { return; }

const kind = body.getAttribute("data-page"); // chat, board, form, offline or closed
const offline = kind === "offline";
const base = offline || kind === "closed" ? location.pathname.split("/").slice(0, 3).join("/") : body.getAttribute("data-base");
// diveShown is the board's dive: the page's own, or the address's while there is no network; "" for any.
const diveShown = (offline ? (location.search.match(/[?&]dive_shown=(\d+)/) || [])[1] : body.getAttribute("data-dive")) || "";
const framed = window.top !== window;
const byId = (id) => document.getElementById(id);
const all = (selector, within) => Array.prototype.slice.call((within || document).querySelectorAll(selector));
const net = byId("net");

// word is a text that the page was given in its reader's language.
const word = (name) => ["words", "keep-words"].map((id) => (byId(id) && byId(id).getAttribute("data-" + name)) || "").join("");
const fill = (text, n) => text.replace("0", String(n));
const minutesSince = (at) => Math.max(0, Math.floor((Date.now() - at) / 60000));
