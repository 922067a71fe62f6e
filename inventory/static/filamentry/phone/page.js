// The page that works without a signal: entries are written, wait here, and are sent; what became of each is shown.
import * as store from "./store.js";
import { isOnItsWay, sendAll, whoIsThere } from "./send.js";
import { goesOn, ofAnother, seenOf, standing } from "./seen.js";
import { fill, made, moment } from "./shown.js";

const FIRST = 5000; // milliseconds that the house has to say who is logged in before what lies here is shown
const house = document.documentElement.dataset;
const one = (name) => document.querySelector(name);
const form = one("[data-write]");
const kind = form.elements.kind;
let mended = null; // the entry that is being mended
let last = "";     // what the last round of sending came to
let stamp = "";    // that of the tube before: its maker and date code stay for the next one alike
let whose = "";    // the mark of the account that is shown

const LINES = {
  away: "No signal. What waits is sent when it is back.", busy: "The house is busy; what waits is tried again.",
  barred: "This account may not send.", other: "Another account is logged in. What waits of others is locked.",
  sent: "Connected."
};

async function showLine() {
  const here = await store.account();
  whose = here ? here.mark : "";
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
  if (here) { showRole(here); }
  if (here) { Array.from(kind.options).forEach((option) => { option.disabled = option.hidden = !here.kinds.includes(option.value); }); }
  if (here && kind.selectedOptions[0] && kind.selectedOptions[0].disabled) { kind.value = here.kinds[0] || ""; showKind(); }
}

function tell(text) { one("[data-line]").textContent = text; }

// What a role may not enter is said, not only greyed.
function showRole(here) {
  const barred = Array.from(kind.options).filter((option) => !here.kinds.includes(option.value)).map((option) => option.text.toLowerCase());
  form.hidden = !here.kinds.length;
  one("[data-role-says]").textContent = form.hidden ? "A " + (here.role || "person without a role") + " only looks: helpers and keepers make entries."
    : barred.length ? "Not for a " + here.role + ": " + barred.join(", ") + "." : "";
}

async function drop(entry) {
  const now = (await store.entries()).find((one) => one.key === entry.key);
  if (isOnItsWay(entry.key)) { tell("That entry is on its way to the house; wait for its answer."); return; }
  const told = now && now.unsure ? "It was sent, and no answer came: the house may have it." : "It was not taken.";
  if (now && now.status !== "taken" && window.confirm("Throw this entry away? " + told)) { await store.throwAway(entry.key); }
  await show();
}

async function mine(entry) { // said once more, having seen what stands here now
  entry.clashes.forEach((clash) => { entry.seen = { ...entry.seen, [clash.field]: clash.here }; });
  Object.assign(entry, { status: "waiting", clashes: [] });
  await store.put(entry, { mark: whose });
  await send();
}

async function asOfNow(entry) { // by the clock of the house: that of the phone was wrong
  Object.assign(entry, { status: "waiting", at: entry.clock, clock: "" });
  await store.put(entry, { mark: whose });
  await send();
}

// The cells of a kind of entry: [name, field].
function fieldsOf(wanted) {
  return Array.from(form.querySelectorAll("[data-of]")).filter((box) => box.dataset.of.split(" ").includes(wanted))
    .map((box) => box.querySelector("input, select, textarea")).map((field) => [field.dataset.cell || field.name, field]);
}

function mend(entry) {
  mended = entry;
  kind.value = entry.kind;
  showKind();
  for (const [name, field] of fieldsOf(entry.kind)) {
    if (field.type === "checkbox") { field.checked = name in entry.cells; } else if (name in entry.cells) { field.value = entry.cells[name]; }
  }
  one("[data-choice]").hidden = entry.kind !== "tube";
  one("[data-odd]").hidden = entry.kind !== "test";
  one("[data-stop]").hidden = false;
  form.scrollIntoView();
}

async function showRows() {
  const all = await store.entries();
  const waits = all.filter((entry) => entry.status !== "taken");
  one("[data-count]").textContent = waits.length ? "(" + waits.length + ", since " + moment((waits.find((e) => e.at) || { at: Date.now() }).at) + ")" : "";
  fill(one("[data-waiting]"), waits, (entry) => {
    const acts = [];
    if ((entry.clashes || []).length) { acts.push(["Mine all the same", () => mine(entry)]); }
    if (entry.clock) { acts.push(["Send as of now", () => asOfNow(entry)]); }
    if (entry.status !== "unreadable") { acts.push(["Mend it", () => mend(entry)]); }
    return [...acts, ["Throw it away", () => drop(entry)]];
  }, "Nothing waits.");
  fill(one("[data-done]"), all.filter((entry) => entry.status === "taken").reverse(), () => []);
}

async function showAlong() {
  const kept = await store.along();
  const options = (name, rows) => one(name).replaceChildren(...rows.map(([value, text]) => made("option", text, { value })));
  const things = Object.values(kept.things || {});
  options("#places", (kept.places || []).map((path) => [path, ""]));
  options("#tags", [...things.map((thing) => [thing.tag, thing.words]), ...(kept.sets || [])]);
  for (const name of ["take", "instrument"]) {
    const chosen = form.elements[name].value;
    options("#" + name, kept[name + "s"] || []);
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
  const thing = standing(tag, (await store.along()).things, await store.entries());
  one("[data-tag-says]").textContent = !tag ? "" : thing ? [thing.words, thing.state, thing.place || "no place"].filter(Boolean).join(", ")
    : "Not taken along: what stands there now is not seen.";
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const cells = {};
  fieldsOf(kind.value).forEach(([name, field]) => {
    if (!field.closest("[data-of]").hidden && (field.type !== "checkbox" || field.checked)) { cells[name] = field.value.trim(); }
  });
  if (cells.tag) { cells.tag = tagIn(cells.tag); }
  const first = form.elements[kind.value === "tube" ? "marked" : "tag"];
  if (!first.value.trim()) { first.focus(); return; }
  const before = mended;
  const entry = before || { key: store.newKey(), at: new Date().toISOString(), seen: {} };
  const anew = !before || ofAnother(before, kind.value, cells);
  const of = whose;
  Object.assign(entry, { kind: kind.value, cells, at: entry.clock || entry.at, status: "waiting", because: [], clashes: [], fault: "", clock: "" });
  stamp = cells.marked || stamp;
  clear();
  first.focus(); // the next one can be typed while this one is written down
  let why = "you are logged out here, or another account is logged in; log in again.";
  let kept = false;
  try {
    if (anew) { entry.seen = await lookedAt(entry); }
    kept = await store.put(entry, { mark: of });
  } catch (fault) { why = fault.message; }
  if (!kept) {
    if ((await store.account().catch(() => null) || { mark: of }).mark === of) { mend(entry); } // nobody else reads it
    tell("It was not kept in this phone, and nothing was sent: " + why);
    return;
  }
  await show();
  await send();
});

// What stands here of the thing of an entry: what was taken along, and what waits for it from before.
async function lookedAt(entry) {
  const earlier = (await store.entries()).filter((one) => one.key !== entry.key && !(entry.order && one.order > entry.order));
  return seenOf(entry.kind, entry.cells.tag, (await store.along()).things, earlier);
}

function clear() {
  mended = null;
  one("[data-stop]").hidden = true;
  form.querySelectorAll("[data-of] input, [data-of] textarea").forEach((field) => {
    if (field.type === "checkbox") { field.checked = false; }
    else if (["maker", "date_code"].includes(field.name)) { field.dataset.kept = ""; }
    else if (!("stays" in field.dataset)) { field.value = field.name === "count" ? "1" : ""; }
  });
  form.elements.shorts.value = "";
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
form.elements.marked.addEventListener("input", () => ofBefore(goesOn));
form.elements.marked.addEventListener("change", () => ofBefore((before, typed) => before === typed));
for (const name of ["maker", "date_code"]) {
  form.elements[name].addEventListener("input", (event) => { delete event.target.dataset.kept; });
}

// Maker and date code that were kept of the tube before go where another stamp is typed.
function ofBefore(still) {
  const typed = form.elements.marked.value.trim();
  if (!typed || still(stamp, typed)) { return; }
  for (const name of ["maker", "date_code"]) {
    const field = form.elements[name];
    if ("kept" in field.dataset) { field.value = ""; delete field.dataset.kept; }
  }
}

// What waits goes first: what is taken along then holds it already.
async function takeAlong(place) {
  last = await sendAll();
  if (last === "sent") {
    const told = await whoIsThere(place);
    if (typeof told === "string") { last = told; }
  }
  await show();
}

window.addEventListener("online", send);
document.addEventListener("visibilitychange", () => { if (!document.hidden) { send(); } });
setInterval(async () => {
  if ((await store.entries()).some((entry) => entry.status === "waiting")) { await send(); }
}, 20000);

one("[data-elsewhere]").hidden = location.pathname === house.toPhone;
one("[data-open-note]").hidden = store.canLock();
if ("serviceWorker" in navigator && window.isSecureContext) { navigator.serviceWorker.register(house.toWorker); }
// Nothing of anybody is shown before the house was asked who is logged in; without a signal it cannot be.
async function start() {
  const told = await whoIsThere(undefined, FIRST);
  last = typeof told === "string" ? told : "sent";
  await show();
  if (typeof told !== "string") { await send(); }
}

showKind();
start().catch((fault) => tell("This browser keeps nothing here, so no entry can wait in it: " + fault.message));
