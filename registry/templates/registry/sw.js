{% load static %}// Keeps pocket sheets that were opened once, so that they open without a network. With one, the newest is shown.
const KEPT = "pocket";
const OURS = ["/pocket/", "/words/", "{% get_static_prefix %}"];

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const {method, url} = event.request;
  const {origin, pathname} = new URL(url);
  const isOurs = origin === self.location.origin && OURS.some((start) => pathname.startsWith(start));
  if (method !== "GET" || !isOurs) return;
  event.respondWith(pathname.endsWith(".jpg") ? kept(event.request) : newest(event.request));
});

async function newest(request) {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(request);
    if (answer.ok) await kept.put(request, answer.clone());
    return answer;
  } catch {
    return (await kept.match(request, {ignoreVary: true, ignoreSearch: true})) ?? Response.error();
  }
}

// A crop's address always shows the same, so what is kept need not be fetched again; the sheet drops those it needs no more.
async function kept(request) {
  return (await (await caches.open(KEPT)).match(request, {ignoreVary: true})) ?? fetch(request).catch(() => Response.error());
}
