// What lies in the phone (IndexedDB): whose account is here, what was taken along, the entries.
//
// Entries are locked (AES-GCM, Web Crypto) with a key that the house hands to their account alone. The key lies beside
// them, not to be read out, as long as that account is here, and goes at log-out: what still waits is then a locked
// box under a mark that names nobody, until its account logs in again. Browsers do this only over https or on the very
// machine; over plain http entries lie open in the phone, are never shown to another account, and are thrown away at
// log-out, which asks first.

import { afterwards, standing } from "./seen.js";

const NAME = "filamentry";
let opening = null;

function database() {
  opening = opening || new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("entries", { keyPath: "key" });
      asked.result.createObjectStore("device", { keyPath: "name" });
    };
    asked.onsuccess = () => { asked.result.onclose = () => { opening = null; }; resolve(asked.result); };
    asked.onerror = () => reject(asked.error);
  }).catch((fault) => { opening = null; throw fault; }); // the next one may find it open again
  return opening;
}

// One transaction on both stores: `question` gets them by name. What it asks of each other's answers is done whole or
// not at all, whatever another tab does meanwhile.
async function within(mode, question) {
  const base = await database();
  return new Promise((resolve, reject) => {
    const step = base.transaction(["entries", "device"], mode);
    const told = {};
    question(step.objectStore("entries"), step.objectStore("device"), told);
    step.oncomplete = () => resolve(told.value);
    step.onerror = step.onabort = () => reject(step.error);
  });
}
const then = (asked, act) => { asked.onsuccess = () => act(asked.result); };
const device = (name) => within("readonly", (entries, rows, told) => then(rows.get(name), (row) => { told.value = row; }));
const allRows = () => within("readonly", (rows, about, told) => then(rows.getAll(), (found) => { told.value = found; }));

export function canLock() { return Boolean(globalThis.isSecureContext && crypto.subtle); }

// A UUID of version 4 (RFC 9562, 5.4); browsers give ready ones only in a secure context.
export function newKey() {
  if (crypto.randomUUID) { return crypto.randomUUID(); }
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const text = Array.from(bytes, (one) => one.toString(16).padStart(2, "0")).join("");
  return [text.slice(0, 8), text.slice(8, 12), text.slice(12, 16), text.slice(16, 20), text.slice(20)].join("-");
}

export const account = () => device("account");
export const along = async () => (await device("along")) || {};
// How often this phone was left. An answer that was asked for before the last time comes too late, and is not obeyed.
export const timesLeft = async () => ((await device("left")) || { times: 0 }).times;


// Nobody is here any more: the key, what was taken along and what was done go; what waits stays where it is locked.
// Where it could not be locked it stays only if nobody was asked (`unlocked`: throw that away, too).
function wipe(rows, about, gone, unlocked) {
  about.delete("account");
  about.delete("along");
  then(about.get("left"), (left) => about.put({ name: "left", times: ((left && left.times) || 0) + 1 }));
  then(rows.getAll(), (found) => found.forEach((row) => {
    if (gone && row.mark === gone.mark && (row.done || (unlocked && !row.locked))) { rows.delete(row.key); }
  }));
}
export const forget = (unlocked) => within("readwrite", (rows, about) =>
  then(about.get("account"), (gone) => wipe(rows, about, gone, unlocked)));

// A page was made for this account: another that was here before is not any more.
export const isHere = (mark) => within("readwrite", (rows, about) => then(about.get("account"), (before) => {
  if (before && before.mark !== mark) { wipe(rows, about, before, false); }
}));

// The house said who is logged in. Another account than the one before finds nothing of that one's that can be read.
// `times`: how often the phone had been left when the house was asked. False: it was left since, and nothing is kept.
export async function arrived(told, times) {
  const before = await account();
  let lock = before && before.mark === told.account ? before.lock : null;
  if (!lock && canLock()) {
    const bytes = Uint8Array.from(atob(told.seal), (letter) => letter.charCodeAt(0));
    lock = await crypto.subtle.importKey("raw", bytes, "AES-GCM", false, ["encrypt", "decrypt"]);
  }
  return within("readwrite", (rows, about, said) => then(about.get("left"), (left) => {
    said.value = ((left && left.times) || 0) === times;
    if (!said.value) { return; }
    if (before && before.mark !== told.account) { wipe(rows, about, before, false); }
    about.put({ name: "account", mark: told.account, person: told.name, role: told.role, kinds: told.kinds, lock });
    if (told.things) {
      about.put({ name: "along", places: told.places, takes: told.takes, instruments: told.instruments,
        sets: told.sets, things: Object.fromEntries(told.things.map((one) => [one.tag, one])), of: told.of, at: told.at, cut: told.cut });
    }
  }));
}

// Keep an entry under the account that is here. `only`: of that `mark`, and onto the row that bore that `stamp` when it
// was read. False: it is another's turn here, or the row was changed meanwhile.
export async function put(entry, only = {}) {
  const here = await account();
  if (!here || (only.mark && here.mark !== only.mark)) { return false; }
  const row = { key: entry.key, mark: here.mark, order: entry.order || Date.now(), done: entry.status === "taken", stamp: newKey() };
  entry.order = row.order;
  if (here.lock) {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    const text = new TextEncoder().encode(JSON.stringify(entry));
    row.locked = { iv, body: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, here.lock, text) };
  } else {
    row.open = entry;
  }
  return within("readwrite", (rows, about, told) => then(about.get("account"), (now) => {
    told.value = false;
    if (!now || now.mark !== here.mark) { return; }
    then(rows.get(entry.key), (before) => {
      told.value = only.stamp === undefined || Boolean(before && before.stamp === only.stamp);
      if (told.value) { rows.put(row); }
    });
  }));
}

export const throwAway = (key) => within("readwrite", (rows) => rows.delete(key));

async function opened(row, lock) {
  if (row.open) { return { ...row.open, stamp: row.stamp }; }
  try {
    const text = await crypto.subtle.decrypt({ name: "AES-GCM", iv: row.locked.iv }, lock, row.locked.body);
    return { ...JSON.parse(new TextDecoder().decode(text)), stamp: row.stamp };
  } catch (fault) {
    return { key: row.key, status: "unreadable", cells: {}, kind: "", stamp: row.stamp };
  }
}

// The entries of the account that is here, in the order in which they were written; nobody's where none is.
export async function entries() {
  const here = await account();
  if (!here) { return []; }
  const mine = (await allRows()).filter((row) => row.mark === here.mark);
  mine.sort((one, other) => one.order - other.order);
  return Promise.all(mine.map((row) => opened(row, here.lock)));
}


// How many lie here locked for accounts that are not here.
export async function lockedOfOthers() {
  const here = await account();
  return (await allRows()).filter((row) => !here || row.mark !== here.mark).length;
}

// The house has taken an entry: what was taken along says so, and so do the later entries on the same thing.
export async function tookEffect(taken) {
  for (const one of afterwards(taken, await entries())) { await put(one, { stamp: one.stamp }); }
  const kept = await along();
  const thing = standing(taken.cells.tag, kept.things, [{ ...taken, status: "waiting" }]);
  if (!thing || !kept.at) { return; }
  await within("readwrite", (rows, about) => then(about.get("along"), (row) => {
    if (row) { about.put({ ...row, things: { ...row.things, [thing.tag]: thing } }); }
  }));
}
