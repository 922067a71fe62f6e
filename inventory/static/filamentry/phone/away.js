// On every page: lets the phone page open without a signal, sends what waits when the signal is back, says how many
// wait, and clears the phone at log-out, asking first where something still waits. Without it nothing waits at all.
import * as store from "./store.js";
import { sendAll } from "./send.js";

const badge = document.querySelector("[data-waits]");

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

async function leave(form) {
  const left = (await waiting()).length;
  if (left) {
    const what = left === 1 ? "1 entry is" : left + " entries are";
    const then = store.canLock()
      ? "They stay on this phone, locked, until you log in on it again."
      : "Over plain http they cannot be locked here: they are thrown away.";
    if (!window.confirm(what + " not sent. Log out all the same? " + then)) { location.assign("/phone/"); return; }
  }
  await store.forget(true);
  localStorage.clear();
  sessionStorage.clear();
  if (navigator.serviceWorker && navigator.serviceWorker.controller) { navigator.serviceWorker.controller.postMessage("forget"); }
  form.submit();
}

document.querySelectorAll("form[action='/log-out/']").forEach((form) => {
  form.addEventListener("submit", (event) => { event.preventDefault(); leave(form); });
});
if ("serviceWorker" in navigator && window.isSecureContext) { navigator.serviceWorker.register("/worker.js"); }
if (badge) {
  window.addEventListener("online", sendAndShow);
  sendAndShow();
}
