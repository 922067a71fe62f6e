// On every page: lets the phone page open without a signal, sends what waits when the signal is back, says how many
// wait, and clears the phone at log-out, asking first where something still waits. Without it nothing waits at all.
import * as store from "./store.js";
import { sendAll } from "./send.js";

const page = document.documentElement.dataset; // addresses, and of whom this page is
const badge = document.querySelector("[data-waits]");
const ANSWER = 20000, STORE = 5000; // milliseconds that the house and the store of the browser have to answer

export async function waiting() {
  return (await store.entries()).filter((entry) => entry.status === "waiting" || entry.status === "refused");
}

async function show() {
  if (!badge) { return; }
  const count = (await waiting()).length;
  badge.hidden = !count;
  badge.textContent = count === 1 ? "1 waits" : count + " wait";
}

async function sendAndShow() {
  if ((await waiting()).some((entry) => entry.status === "waiting")) { await sendAll(); }
  await show();
}

// Whoever this page is of, nobody else is here; and the log-in page after a log-out clears once more: an answer that
// was on its way then may have come between.
async function tidy() {
  if (page.account) { await store.isHere(page.account); }
  else if (new URLSearchParams(location.search).has("left")) { await store.forget(false); }
}

// A browser that keeps nothing (a private window, no room) fails here: nothing lies there then. `late`: it never answered.
async function tried(act, otherwise, late) {
  const waited = new Promise((resolve) => { setTimeout(() => resolve(late), STORE); });
  try { return await Promise.race([act(), waited]); } catch (fault) { return otherwise; }
}

async function leave(form) {
  const left = await tried(waiting, []);
  if (!left || left.length) {
    const what = !left ? "Whether entries wait in this phone could not be read." : left.length === 1 ? "1 entry is not sent." : left.length + " entries are not sent.";
    const then = store.canLock()
      ? "They stay on this phone, locked, until you log in on it again."
      : "Over plain http they cannot be locked here: they are thrown away.";
    if (!window.confirm(what + " Log out all the same? " + then)) { return; }
  }
  let answer;
  const stop = new AbortController();
  const clock = setTimeout(() => stop.abort(), ANSWER);
  try {
    answer = await fetch(form.action, { method: "POST", body: new FormData(form), redirect: "manual", signal: stop.signal });
  } catch (fault) {
    window.alert("No answer of the house came. Log-out needs a signal: nothing was cleared in this phone, and you may still be logged in.");
    return;
  } finally { clearTimeout(clock); }
  if (answer.type !== "opaqueredirect") { form.submit(); return; } // not logged out: its page says why
  await tried(() => store.forget(true));
  await tried(async () => localStorage.clear());
  await tried(async () => sessionStorage.clear());
  await tried(async () => navigator.serviceWorker.controller.postMessage("forget"));
  location.replace(form.dataset.leave);
}

document.querySelectorAll("form[data-leave]").forEach((form) => {
  form.addEventListener("submit", (event) => { event.preventDefault(); leave(form); });
});
if ("serviceWorker" in navigator && window.isSecureContext) { navigator.serviceWorker.register(page.toWorker); }
tidy().then(() => {
  if (!badge) { return null; }
  window.addEventListener("online", () => tried(sendAndShow));
  return sendAndShow();
}).catch(() => { /* nothing can be kept in this browser, so nothing waits */ });
