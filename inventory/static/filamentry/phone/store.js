// What lies in the phone (IndexedDB): whose account is here, what was taken along, the entries.
//
// Entries are locked (AES-GCM, Web Crypto) with a key that the house hands to their account alone. The key lies beside
// them, not to be read out, as long as that account is here, and goes at log-out: what still waits is then a locked
// box under a mark that names nobody, until its account logs in again. Browsers do this only over https or on the very
// machine; over plain http entries lie open in the phone, are never shown to another account, and are thrown away at
// log-out, which asks first.

const NAME = "filamentry";
let opening = null;

function database() {
  opening = opening || new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("entries", { keyPath: "key" });
      asked.result.createObjectStore("device", { keyPath: "name" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  return opening;
}

async function ask(store, mode, question) {
  const base = await database();
  return new Promise((resolve, reject) => {
    const step = base.transaction(store, mode);
    const asked = question(step.objectStore(store));
    step.oncomplete = () => resolve(asked ? asked.result : undefined);
    step.onerror = step.onabort = () => reject(step.error);
  });
}
const device = (name) => ask("device", "readonly", (rows) => rows.get(name));
const putDevice = (row) => ask("device", "readwrite", (rows) => rows.put(row));
const dropDevice = (name) => ask("device", "readwrite", (rows) => rows.delete(name));

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

// The house said who is logged in. Another account than the one before finds nothing of that one's that can be read.
export async function arrived(told) {
  const before = await account();
  if (before && before.mark !== told.account) { await forget(false); }
  let lock = before && before.mark === told.account ? before.lock : null;
  if (!lock && canLock()) {
    const bytes = Uint8Array.from(atob(told.seal), (letter) => letter.charCodeAt(0));
    lock = await crypto.subtle.importKey("raw", bytes, "AES-GCM", false, ["encrypt", "decrypt"]);
  }
  await putDevice({ name: "account", mark: told.account, person: told.name, role: told.role, kinds: told.kinds, lock });
  if (told.things) {
    await putDevice({ name: "along", places: told.places, takes: told.takes, instruments: told.instruments,
      sets: told.sets, things: Object.fromEntries(told.things.map((one) => [one.tag, one])), of: told.of, at: told.at, cut: told.cut });
  }
}

// Nobody is here any more: the key, what was taken along and what was done go; what waits stays where it is locked.
// Where it could not be locked it stays only if nobody was asked (`unlocked`: throw that away, too).
export async function forget(unlocked) {
  const gone = await account();
  await dropDevice("account");
  await dropDevice("along");
  for (const row of await ask("entries", "readonly", (rows) => rows.getAll())) {
    if (gone && row.mark === gone.mark && (row.done || (unlocked && !row.locked))) { await throwAway(row.key); }
  }
}

export async function put(entry) {
  const here = await account();
  const row = { key: entry.key, mark: here.mark, order: entry.order || Date.now(), done: entry.status === "taken" };
  entry.order = row.order;
  if (here.lock) {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    const text = new TextEncoder().encode(JSON.stringify(entry));
    row.locked = { iv, body: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, here.lock, text) };
  } else {
    row.open = entry;
  }
  await ask("entries", "readwrite", (rows) => rows.put(row));
}

export const throwAway = (key) => ask("entries", "readwrite", (rows) => rows.delete(key));

// The entries of the account that is here, in the order in which they were written; nobody's where none is.
export async function entries() {
  const here = await account();
  if (!here) { return []; }
  const rows = (await ask("entries", "readonly", (all) => all.getAll())).filter((row) => row.mark === here.mark);
  rows.sort((one, other) => one.order - other.order);
  const found = [];
  for (const row of rows) {
    if (row.open) { found.push(row.open); continue; }
    try {
      const text = await crypto.subtle.decrypt({ name: "AES-GCM", iv: row.locked.iv }, here.lock, row.locked.body);
      found.push(JSON.parse(new TextDecoder().decode(text)));
    } catch (fault) {
      found.push({ key: row.key, status: "unreadable", cells: {}, kind: "" });
    }
  }
  return found;
}

// How many lie here locked for accounts that are not here.
export async function lockedOfOthers() {
  const here = await account();
  const rows = await ask("entries", "readonly", (all) => all.getAll());
  return rows.filter((row) => !here || row.mark !== here.mark).length;
}

// What an entry sees of its thing, and what it will be once the entry is taken: the next one sees that.
export async function seenOf(kind, cells) {
  const kept = await along();
  const thing = (kept.things || {})[cells.tag];
  const wanted = { move: "place", state: "state" }[kind];
  const seen = thing && wanted && thing[wanted] !== undefined ? { [wanted]: thing[wanted] } : {};
  if (wanted && cells.tag) {
    const things = { ...(kept.things || {}) };
    things[cells.tag] = { tag: cells.tag, words: "", ...thing, [wanted]: cells[wanted] };
    await putDevice({ ...kept, name: "along", things });
  }
  return seen;
}
