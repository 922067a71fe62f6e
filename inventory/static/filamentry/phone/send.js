// Sends what waits, in the order in which it was written. The house takes each key once; so an entry of which no answer
// came is simply sent again.
import { account, arrived, entries, put } from "./store.js";

const ADDRESS = { who: "/api/phone?who=1", along: "/api/phone", send: "/phone/send/" };

// "away": no signal; "login": the session has ended; "barred": this account may not; else what the house says.
export async function whoIsThere(place) {
  const address = place === undefined ? ADDRESS.who : ADDRESS.along + "?place=" + encodeURIComponent(place);
  let answer;
  try {
    answer = await fetch(address, { redirect: "manual", cache: "no-store", headers: { Accept: "application/json" } });
  } catch (fault) { return "away"; }
  if (answer.type === "opaqueredirect" || answer.status === 401) { return "login"; }
  if (answer.status === 403) { return "barred"; }
  if (!answer.ok) { return "away"; }
  return answer.json();
}

let sending = null;
export function sendAll() {
  sending = sending || round().finally(() => { sending = null; });
  return sending;
}

async function round() {
  const told = await whoIsThere();
  if (typeof told === "string") { return told; }
  await arrived(told); // from here on the entries are those of whoever is logged in
  for (const entry of await entries()) {
    if (entry.status !== "waiting") { continue; }
    const said = await sendOne(entry, told);
    if (said !== "answered") { return said; }
  }
  return "sent";
}

async function sendOne(entry, told) {
  let answer, body;
  try {
    answer = await fetch(ADDRESS.send, {
      method: "POST", redirect: "manual", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": told.token },
      body: JSON.stringify({ account: told.account, key: entry.key, kind: entry.kind, at: entry.at, cells: entry.cells, seen: entry.seen })
    });
    if (answer.type === "opaqueredirect") { return "login"; }
    body = (answer.headers.get("Content-Type") || "").includes("json") ? await answer.json() : null;
  } catch (fault) { return "away"; }
  const here = await account();
  if (!here || here.mark !== told.account) { return "other"; } // logged out meanwhile: the house has it, and its key
  if (body && body.taken) {
    Object.assign(entry, { status: "taken", told: body.told, address: body.address, otherwise: body.otherwise, because: [], clashes: [] });
  } else if (body && (answer.status === 422 || answer.status === 400)) {
    Object.assign(entry, { status: "refused", because: body.because || [], clashes: body.clashes || [] });
  } else if (answer.status === 500) {
    entry.fault = "The house has a fault with this one; it waits, and is tried again.";
  } else {
    return answer.status === 409 ? "other" : answer.status === 403 ? "barred" : "busy";
  }
  await put(entry);
  return "answered";
}
