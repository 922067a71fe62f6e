// Sends what waits, in the order in which it was written. The house takes each key once; so an entry of which no answer
// came is simply sent again.
import { account, arrived, entries, put, timesLeft, tookEffect } from "./store.js";

const ADDRESS = document.documentElement.dataset; // of the house, which may lie below a path
const WAIT = { who: 15000, entry: 30000 }; // milliseconds, after which no answer counts as no signal

async function asked(address, wait, also) {
  const stop = new AbortController();
  const clock = setTimeout(() => stop.abort(), wait);
  try {
    const answer = await fetch(address, { redirect: "manual", cache: "no-store", signal: stop.signal, ...also });
    const json = (answer.headers.get("Content-Type") || "").includes("json");
    return { type: answer.type, status: answer.status, ok: answer.ok, body: json ? await answer.json() : null };
  } finally { clearTimeout(clock); }
}

// "away": no signal; "login": the session has ended; "barred": this account may not; else what the house says, which is
// kept in the phone, unless somebody has left meanwhile.
export async function whoIsThere(place, wait) {
  const address = ADDRESS.toAlong + (place === undefined ? "?who=1" : "?place=" + encodeURIComponent(place));
  const times = await timesLeft();
  let answer;
  try {
    answer = await asked(address, wait || (place === undefined ? WAIT.who : WAIT.entry), { headers: { Accept: "application/json" } });
  } catch (fault) { return "away"; }
  if (answer.type === "opaqueredirect" || answer.status === 401) { return "login"; }
  if (answer.status === 403) { return "barred"; }
  if (!answer.ok || !answer.body) { return "away"; }
  return (await arrived(answer.body, times)) ? answer.body : "login";
}

let sending = null;
let onItsWay = "";
export function sendAll() {
  sending = sending || round().finally(() => { sending = null; });
  return sending;
}
export const isOnItsWay = (key) => onItsWay === key;

async function round() {
  const told = await whoIsThere(); // from here on the entries are those of whoever is logged in
  if (typeof told === "string") { return told; }
  const tried = new Set(), said = (one) => one.key + JSON.stringify([one.kind, one.cells]);
  for (;;) { // read anew each time: an entry may be mended, or another be written, while one is sent
    const next = (await entries()).find((one) => one.status === "waiting" && !tried.has(said(one)));
    if (!next) { return "sent"; }
    tried.add(said(next));
    const came = await sendOne(next, told);
    if (came !== "answered") { return came; }
  }
}

async function sendOne(entry, told) {
  let answer;
  onItsWay = entry.key;
  try {
    answer = await asked(ADDRESS.toSend, WAIT.entry, {
      method: "POST", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": told.token },
      body: JSON.stringify({ account: told.account, key: entry.key, kind: entry.kind, at: entry.at, cells: entry.cells, seen: entry.seen })
    });
  } catch (fault) {
    await put({ ...entry, unsure: true }, { mark: told.account, stamp: entry.stamp }); // the house may have it
    return "away";
  } finally { onItsWay = ""; }
  if (answer.type === "opaqueredirect") { return "login"; }
  const here = await account();
  if (!here || here.mark !== told.account) { return "other"; } // logged out meanwhile: the house has it, and its key
  const now = outcome(entry, answer);
  if (typeof now === "string") { return now; }
  // What was mended while it was sent stays as it is now, and is sent again: the house then says what it took.
  await put(now, { mark: told.account, stamp: entry.stamp });
  if (now.status === "taken") { await tookEffect(now); }
  return "answered";
}

// What becomes of an entry by what the house answered; a word where the whole round ends with it.
export function outcome(entry, answer) {
  const body = answer.body;
  if (body && body.taken) {
    return { ...entry, status: "taken", told: body.told, address: body.address, otherwise: body.otherwise, because: [], clashes: [] };
  }
  if (body && (answer.status === 422 || answer.status === 400)) {
    return { ...entry, status: "refused", because: body.because || [], clashes: body.clashes || [], clock: body.clock || "", unsure: false };
  }
  if (answer.status === 500) {
    return { ...entry, fault: "The house has a fault with this one; it waits, and is tried again." };
  }
  return answer.status === 409 ? "other" : answer.status === 403 ? "barred" : "busy";
}
