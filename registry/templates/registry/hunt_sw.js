{% load static %}// Keeps the pocket sheet of a hunt, so that it opens without a network. With one, the newest is shown; and where it
// is no longer this member's to see, what was kept is forgotten.
const KEPT = "hunt";
const OURS = ["{% url 'hunt-sheet' %}", "{% url 'hunt-data' %}"];
const PARTS = ["/words/", "{% get_static_prefix %}"];

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const {method, url} = event.request;
  const {origin, pathname} = new URL(url);
  if (method !== "GET" || origin !== self.location.origin) return;
  if (OURS.includes(pathname) || PARTS.some((start) => pathname.startsWith(start))) event.respondWith(newest(event.request));
});

async function newest(request) {
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await (await caches.open(KEPT)).put(request, answer.clone());
    else if (answer.type === "opaqueredirect" || answer.redirected) await caches.delete(KEPT);
    return answer;
  } catch {
    const kept = await caches.open(KEPT);
    return (await kept.match(request, {ignoreVary: true}))
      ?? (await kept.match(request, {ignoreVary: true, ignoreSearch: true})) ?? Response.error();
  }
}
