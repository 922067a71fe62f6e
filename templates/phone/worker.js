// What opens without a signal: the page of the phone and the files that it is made of, and nothing else. No page with
// anybody's data is kept here, ever. The version is a digest of those files; another one makes another worker, which
// throws the caches of the ones before away.
"use strict";
const KEPT = {{ told|safe }};
const NAME = "filamentry-" + KEPT.version;
const WAIT = 5000; // milliseconds, after which a weak signal counts as none

self.addEventListener("install", (event) => {
  const whole = [KEPT.shell, ...KEPT.files].map((address) => new Request(address, { cache: "reload", credentials: "omit" }));
  event.waitUntil(caches.open(NAME).then((cache) => cache.addAll(whole)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) { if (name !== NAME) { await caches.delete(name); } }
    await self.clients.claim();
  })());
});

function inTime(request) {
  const stop = new AbortController();
  const clock = setTimeout(() => stop.abort(), WAIT);
  return fetch(request, { signal: stop.signal }).finally(() => clearTimeout(clock));
}

async function kept(address) { return (await caches.open(NAME)).match(address); }

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) { return; }
  if (KEPT.files.includes(address.pathname)) {
    event.respondWith(inTime(request).catch(async () => (await kept(address.pathname)) || Response.error()));
  } else if (request.mode === "navigate") {
    // The shell may be late and is kept; any other page may take its time, for nothing of it is kept.
    const asked = address.pathname === KEPT.shell ? inTime(request) : fetch(request);
    event.respondWith(asked.catch(async () => (await kept(KEPT.shell)) || Response.error()));
  }
});

// Whoever logs out leaves nothing: caches of another name than this one's are not ours to keep either.
self.addEventListener("message", (event) => {
  if (event.data !== "forget") { return; }
  event.waitUntil(caches.keys().then((names) => Promise.all(names.filter((name) => name !== NAME).map((name) => caches.delete(name)))));
});
