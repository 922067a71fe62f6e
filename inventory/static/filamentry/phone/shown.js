// One entry in words. Texts are put in as texts, never as markup.

const WHAT = { tube: "Tube", move: "Move", state: "State", note: "Note", count: "Stock-take", test: "Test", run: "Hours" };
const FIELD = { marked: "stamp", reading_text: "reading", date_code: "date code", at: "where you stood", take: "stock-take" };

export function made(name, text, also) {
  const one = document.createElement(name);
  if (text) { one.textContent = text; }
  return Object.assign(one, also || {});
}

export function moment(text) {
  const at = new Date(text);
  const day = at.toLocaleDateString("sv"); // written as 2026-11-30
  const clock = at.toTimeString().slice(0, 5);
  return day === new Date().toLocaleDateString("sv") ? clock : day + " " + clock;
}

export function words(entry) {
  const cells = entry.cells;
  const said = Object.keys(cells).filter((name) => cells[name] && !["tag", "marked", "choice", "odd"].includes(name) &&
    !(name === "count" && cells.count === "1"));
  const rest = said.map((name) => (FIELD[name] || name) + " " + cells[name]).join(", ");
  return [(WHAT[entry.kind] || entry.kind) + " " + (cells.tag || cells.marked || ""), rest].filter(Boolean).join(": ");
}

function clash(one) {
  const list = made("dl", "", { className: "phone-clash" });
  for (const [term, text] of [["When you wrote it", one.old], ["You wrote", one.yours], ["It is now", one.here]]) {
    list.append(made("dt", term), made("dd", text || (one.field === "place" ? "no place" : "nothing")));
  }
  return list;
}

// `acts`: what may be done with it, as [words, function].
function row(entry, acts) {
  const item = made("li");
  if (entry.status === "unreadable") {
    item.append(made("p", "An entry that cannot be opened: the house has another secret key since. It was not sent."));
  } else {
    const line = made("p");
    line.append(made("strong", words(entry)), " ", made("span", "written " + moment(entry.at), { className: "faint" }));
    item.append(line);
  }
  if (entry.status === "taken") {
    const line = made("p", entry.told + " ");
    if (entry.otherwise) { line.append(made("strong", "Taken as first written; what was changed in it since is not. ")); }
    if (entry.address) { line.append(made("a", "Open it", { href: entry.address, ariaLabel: "Open it: " + words(entry) })); }
    item.append(line);
  }
  if (entry.status === "refused") {
    const why = (entry.because || []).map(([field, text]) => (field ? (FIELD[field] || field) + ": " : "") + text);
    const told = (entry.clashes || []).length ? "it was changed here after you wrote this." : why.join(" ");
    item.append(made("p", "Not taken, because " + told, { className: "bench-note bench-note--error" }));
    (entry.clashes || []).forEach((one) => item.append(clash(one)));
  }
  if (entry.status === "waiting" && entry.fault) { item.append(made("p", entry.fault, { className: "faint" })); }
  const bar = made("div", "", { className: "acts" });
  acts.forEach(([text, act]) => {
    const button = made("button", text, { type: "button", className: "act-quiet", ariaLabel: text + ": " + words(entry) });
    button.addEventListener("click", act);
    bar.append(button);
  });
  if (acts.length) { item.append(bar); }
  return item;
}

// Puts the entries into a list. A row that says what it said stays as it is, so that whoever is in it with the keyboard
// or a screen reader stays there; where the row went, the next one has the focus.
export function fill(list, entries, actsOf, none) {
  const before = new Map(Array.from(list.children, (item) => [item.dataset.key, item]));
  const held = list.contains(document.activeElement) ? document.activeElement.closest("li") : null;
  const place = held ? Array.from(list.children).indexOf(held) : -1;
  const rows = entries.map((entry) => {
    const says = JSON.stringify({ ...entry, stamp: "" });
    const old = before.get(entry.key);
    if (old && old.dataset.says === says) { return old; }
    const item = row(entry, actsOf(entry));
    Object.assign(item.dataset, { key: entry.key, says });
    return item;
  });
  if (!rows.length && none) { rows.push(made("li", none, { className: "faint" })); }
  Array.from(list.children).filter((item) => !rows.includes(item)).forEach((item) => item.remove());
  rows.forEach((item, at) => { if (list.children[at] !== item) { list.insertBefore(item, list.children[at] || null); } });
  if (!held || held.isConnected) { return; }
  const next = list.children[Math.min(place, list.children.length - 1)];
  const button = next && next.querySelector("button, a");
  if (button) { button.focus(); } else { list.tabIndex = -1; list.focus(); }
}
