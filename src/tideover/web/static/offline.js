// The worker: keeps the minute at the entrance on the phone and shows it where a page cannot be had.
"use strict";
const STORE = "tideover " + "MARK";
const KEPT = ["KEPT"];
const COUNTER = /^\/(counter|yard\/.+\/entrance)$/;
const PATIENCE_MS = 6000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(STORE).then((store) => store.addAll(KEPT)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((n) => n.startsWith("tideover ") && n !== STORE).map((n) => caches.delete(n))))
      .then(() => self.clients.claim())
  );
});

// the kept page holds the list of yards and hives: asked after whenever another page was had, had anew where it changed
async function renew() {
  try {
    const store = await caches.open(STORE), held = await store.match("/counter");
    const mark = held && held.headers.get("kept-as-of");
    const answer = await fetch("/counter", { cache: "no-store", headers: mark ? { "kept-as-of": mark } : {} });
    if (answer.status === 200) await store.put("/counter", answer);
  } catch (e) { /* the list before stays */ }
}
function within(promise, ms) {
  return new Promise((resolve, reject) => {
    const clock = setTimeout(() => reject(new Error("too slow")), ms);
    promise.then((v) => { clearTimeout(clock); resolve(v); }, (e) => { clearTimeout(clock); reject(e); });
  });
}
async function kept(path) {
  const found = await (await caches.open(STORE)).match(path);
  return found || Response.error();
}

self.addEventListener("fetch", (event) => {
  const asked = event.request, address = new URL(asked.url);
  if (address.origin !== self.location.origin) return;
  const counter = COUNTER.test(address.pathname);
  if (asked.mode === "navigate" && asked.method === "GET") {
    const answer = fetch(asked);
    event.respondWith((counter ? within(answer, PATIENCE_MS) : answer).catch(() => kept(counter ? "/counter" : "/no-signal")));
    event.waitUntil(answer.then(renew, () => {}));
  } else if (asked.mode === "navigate" && counter) {
    // the count is on the phone already and is sent from there; sent twice it is written once
    event.respondWith(within(fetch(asked), 2 * PATIENCE_MS).catch(() => kept("/counter")));
  } else if (asked.method === "GET" && address.pathname.startsWith("/static/")) {
    event.respondWith(caches.open(STORE).then((store) => store.match(asked)).then((found) => found || fetch(asked)));
  }
});
