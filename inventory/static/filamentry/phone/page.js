// The page that works without a signal: entries are written, wait here, and are sent; what became of each is shown.
import * as store from "./store.js";
import { sendAll, whoIsThere } from "./send.js";
import { made, moment, row } from "./shown.js";

const one = (name) => document.querySelector(name);
const form = one("[data-write]");
const kind = form.elements.kind;
let mended = null; // the entry that is being mended
let last = "";     // what the last round of sending came to

const LINES = {
  away: "No signal. What waits is sent when it is back.", busy: "The house is busy; what waits is tried again.",
  barred: "This account may not send.", other: "Another account is logged in. What waits of others is locked.",
  sent: "Connected."
};

async function showLine() {
  const here = await store.account();
  const waits = (await store.entries()).filter((entry) => entry.status === "waiting").length;
  let text = LINES[last] || "…";
  if (last === "login") { text = here ? "Log in as " + here.person + " to send. Until then it waits." : "Log in once, with a signal; then entries can be made without one."; }
  else if (here) { text = here.person + ", " + here.role + ". " + text; }
  else if (last === "away") { text = "No signal, and nobody is known here. Log in once with a signal, then this page keeps entries without one."; }
  const others = await store.lockedOfOthers();
  if (others) { text += " " + (others === 1 ? "One entry of another account waits" : others + " entries of other accounts wait") + " here until that one logs in."; }
  one("[data-line]").textContent = text;
  one("[data-login]").hidden = last !== "login";
  one("[data-send]").hidden = !here || !waits;
  document.querySelectorAll("[data-needs-account]").forEach((box) => { box.hidden = !here; });
  if (here) { Array.from(kind.options).forEach((option) => { option.disabled = option.hidden = !here.kinds.includes(option.value); }); }
  if (here && kind.selectedOptions[0] && kind.selectedOptions[0].disabled) { kind.value = here.kinds[0] || ""; showKind(); }
}

async function drop(entry) {
  if (!window.confirm("Throw this entry away? It was not taken.")) { return; }
  await store.throwAway(entry.key);
  await show();
}

async function mine(entry) { // said once more, having seen what stands here now
  entry.clashes.forEach((clash) => { entry.seen = { ...entry.seen, [clash.field]: clash.here }; });
  Object.assign(entry, { status: "waiting", clashes: [] });
  await store.put(entry);
  await send();
}

function mend(entry) {
  mended = entry;
  kind.value = entry.kind;
  showKind();
  for (const [name, text] of Object.entries(entry.cells)) { if (form.elements[name]) { form.elements[name].value = text; } }
  one("[data-choice]").hidden = entry.kind !== "tube";
  one("[data-odd]").hidden = entry.kind !== "test";
  one("[data-stop]").hidden = false;
  form.scrollIntoView();
}

async function showRows() {
  const all = await store.entries();
  const waits = all.filter((entry) => entry.status !== "taken");
  one("[data-count]").textContent = waits.length ? "(" + waits.length + ", since " + moment((waits.find((e) => e.at) || { at: Date.now() }).at) + ")" : "";
  one("[data-waiting]").replaceChildren(...(waits.length ? waits.map((entry) => {
    const acts = [];
    if ((entry.clashes || []).length) { acts.push(["Mine all the same", () => mine(entry)]); }
    if (entry.status !== "unreadable") { acts.push(["Mend it", () => mend(entry)]); }
    acts.push(["Throw it away", () => drop(entry)]);
    return row(entry, acts);
  }) : [made("li", "Nothing waits.", { className: "faint" })]));
  one("[data-done]").replaceChildren(...all.filter((entry) => entry.status === "taken").reverse().map((entry) => row(entry, [])));
}

async function showAlong() {
  const kept = await store.along();
  const fill = (name, rows) => one(name).replaceChildren(...rows.map(([value, text]) => made("option", text, { value })));
  const things = Object.values(kept.things || {});
  fill("#places", (kept.places || []).map((path) => [path, ""]));
  fill("#tags", [...things.map((thing) => [thing.tag, thing.words]), ...(kept.sets || [])]);
  for (const name of ["take", "instrument"]) {
    const chosen = form.elements[name].value;
    fill("#" + name, kept[name + "s"] || []);
    if (chosen) { form.elements[name].value = chosen; }
  }
  if (kept.at) {
    one("[data-along]").textContent = things.length + " things of " + (kept.of || "the house") + (kept.cut ? " (the first ones: name a place)" : "") + ", as of " + moment(kept.at) + ".";
  }
}

async function show() { await showLine(); await showRows(); await showAlong(); }

async function send() {
  last = await sendAll();
  if (last === "sent" && !(await store.along()).at) { await takeAlong(""); } else { await show(); }
}

function showKind() {
  form.querySelectorAll("[data-of]").forEach((box) => { box.hidden = !box.dataset.of.split(" ").includes(kind.value); });
  one("[data-choice]").hidden = one("[data-odd]").hidden = true;
  showTag();
}

// The tag that was typed or scanned: of a label with an address, the end of that.
function tagIn(text) { return text.trim().replace(/\/+$/, "").split("/").pop().toUpperCase(); }

async function showTag() {
  const tag = tagIn(form.elements.tag.value);
  const thing = ((await store.along()).things || {})[tag];
  one("[data-tag-says]").textContent = !tag ? "" : thing ? [thing.words, thing.state, thing.place || "no place"].filter(Boolean).join(", ")
    : "Not taken along: what stands there now is not seen.";
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const cells = {};
  form.querySelectorAll("[data-of]").forEach((box) => {
    const field = box.querySelector("input, select, textarea");
    if (!box.hidden && (field.type !== "checkbox" || field.checked)) { cells[field.name] = field.value.trim(); }
  });
  if (cells.tag) { cells.tag = tagIn(cells.tag); }
  const first = form.elements[kind.value === "tube" ? "marked" : "tag"];
  if (!first.value.trim()) { first.focus(); return; }
  const entry = mended || { key: store.newKey(), at: new Date().toISOString(), seen: {} };
  const again = Boolean(mended);
  Object.assign(entry, { kind: kind.value, cells, status: "waiting", because: [], clashes: [], fault: "" });
  clear();
  first.focus(); // the next one can be typed while this one is written down
  try {
    if (!again) { entry.seen = await store.seenOf(entry.kind, cells); }
    await store.put(entry);
  } catch (fault) {
    mend(entry);
    one("[data-line]").textContent = "It could not be kept in this phone, and nothing was sent: " + fault.message;
    return;
  }
  await show();
  await send();
});

function clear() {
  mended = null;
  one("[data-stop]").hidden = true;
  form.querySelectorAll("[data-of] input, [data-of] textarea").forEach((field) => {
    if (field.type === "checkbox") { field.checked = false; }
    else if (!("stays" in field.dataset)) { field.value = field.name === "count" ? "1" : ""; }
  });
  form.elements.shorts.value = "none";
  showKind();
}
one("[data-stop]").addEventListener("click", () => { mended = null; form.reset(); one("[data-stop]").hidden = true; showKind(); });
one("[data-send]").addEventListener("click", send);
one("[data-clear]").addEventListener("click", async () => {
  for (const entry of await store.entries()) { if (entry.status === "taken") { await store.throwAway(entry.key); } }
  await show();
});
one("[data-take-along]").addEventListener("submit", async (event) => {
  event.preventDefault();
  await takeAlong(event.target.elements.of.value.trim());
});
kind.addEventListener("change", showKind);
form.elements.tag.addEventListener("input", showTag);

// What waits goes first: what is taken along then holds it already.
async function takeAlong(place) {
  last = await sendAll();
  if (last === "sent") {
    const told = await whoIsThere(place);
    if (typeof told !== "string") { await store.arrived(told); } else { last = told; }
  }
  await show();
}

window.addEventListener("online", send);
document.addEventListener("visibilitychange", () => { if (!document.hidden) { send(); } });
setInterval(async () => {
  if ((await store.entries()).some((entry) => entry.status === "waiting")) { await send(); }
}, 20000);

one("[data-elsewhere]").hidden = location.pathname === "/phone/";
one("[data-open-note]").hidden = store.canLock();
if ("serviceWorker" in navigator && window.isSecureContext) { navigator.serviceWorker.register("/worker.js"); }
showKind();
show().then(send);
