// What an entry saw of its thing. Plain functions: `things` by tag as they were taken along, `entries` of this phone.

const FIELD = { move: "place", state: "state" }; // what each kind would have otherwise

const same = (one, other) => one.kind === other.kind && one.cells.tag === other.cells.tag;

// The thing as it will stand once what waits is taken. What was refused or thrown away never comes, and counts for nothing.
export function standing(tag, things, entries) {
  let thing = (things || {})[tag];
  for (const one of entries) {
    const field = FIELD[one.kind];
    if (field && one.status === "waiting" && one.cells.tag === tag) { thing = { tag, words: "", ...thing, [field]: one.cells[field] || "" }; }
  }
  return thing;
}

// What a new entry of a kind sees; nothing where its thing is not known here (the house then goes by the time).
export function seenOf(kind, tag, things, entries) {
  const field = FIELD[kind], thing = field && standing(tag, things, entries);
  return thing && thing[field] !== undefined ? { [field]: thing[field] } : {};
}

// Of the entries that were written after one that is taken now: those on the same, with what they see from now on.
export function afterwards(taken, entries) {
  const field = FIELD[taken.kind];
  if (!field) { return []; }
  return entries.filter((one) => one.status === "waiting" && one.order > taken.order && same(one, taken))
    .map((one) => ({ ...one, seen: { ...one.seen, [field]: taken.cells[field] || "" } }));
}

// Whether what is typed may become the stamp of the tube before.
export function goesOn(before, typed) { return before.toUpperCase().startsWith(typed.toUpperCase()); }

// Whether a mended entry is of another thing than before: what it saw is then to be looked up anew.
export function ofAnother(before, kind, cells) { return !same(before, { kind, cells }); }
