{% load static %}// Keeps pocket sheets that were opened once, so that they open without a network. With one, the newest is shown. One
// bar of network, or a site that is down, is none.
const KEPT = "pocket";
const PATIENCE = 4_000; // milliseconds after which what was kept is shown
const SLOW = 30_000; // as long after that, it is shown at once
let slowSince = -SLOW;
const OURS = ["/pocket/", "/words/", "{% get_static_prefix %}"];

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const {method, url} = event.request;
  const {origin, pathname} = new URL(url);
  const isOurs = origin === self.location.origin && OURS.some((start) => pathname.startsWith(start));
  if (method !== "GET" || !isOurs) return;
  if (pathname.endsWith(".jpg")) {
    event.respondWith(kept(event.request));
    return;
  }
  const asked = fetched(event.request);
  event.waitUntil(asked.catch(() => {}));
  event.respondWith(newest(event.request, asked));
});

async function fetched(request) {
  const answer = await fetch(request);
  if (answer.ok) await (await caches.open(KEPT)).put(request, answer.clone());
  return answer;
}

async function newest(request, asked) {
  const isSlow = Date.now() - slowSince < SLOW;
  const late = new Promise((resolve) => setTimeout(resolve, isSlow ? 0 : PATIENCE));
  const answer = await Promise.race([asked.catch(() => Response.error()), late]);
  if (!answer && !isSlow) slowSince = Date.now();
  if (answer && answer.type !== "error" && answer.status < 500) return answer;
  const kept = await (await caches.open(KEPT)).match(request, {ignoreVary: true, ignoreSearch: true});
  return kept ?? answer ?? asked.catch(() => Response.error());
}

// A crop's address always shows the same, so what is kept need not be fetched again; the sheet drops those it needs no more.
async function kept(request) {
  return (await (await caches.open(KEPT)).match(request, {ignoreVary: true})) ?? fetch(request).catch(() => Response.error());
}
