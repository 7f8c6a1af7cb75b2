{% load static %}// Keeps the pocket sheet of a hunt, so that it opens without a network. With one, the newest is shown; and where it
// is no longer this member's to see, what was kept is forgotten. One bar of network, or a site that is down, is none.
const KEPT = "hunt";
const PATIENCE = 4_000; // milliseconds after which what was kept is shown
const SLOW = 30_000; // as long after that, it is shown at once
let slowSince = -SLOW;
const OURS = ["{% url 'hunt-sheet' %}", "{% url 'hunt-data' %}"];
const PARTS = ["/words/", "{% get_static_prefix %}"];

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const {method, url} = event.request;
  const {origin, pathname} = new URL(url);
  if (method !== "GET" || origin !== self.location.origin) return;
  if (!OURS.includes(pathname) && !PARTS.some((start) => pathname.startsWith(start))) return;
  const asked = fetched(event.request);
  event.waitUntil(asked.catch(() => {}));
  event.respondWith(newest(event.request, asked));
});

// Opened before the site is asked: an answer that comes after somebody signed out goes with the sheet that was forgotten.
// Only the page begins to keep one.
async function fetched(request) {
  const kept = await caches.has(KEPT) && await caches.open(KEPT);
  const answer = await fetch(request);
  if (answer.type === "opaqueredirect" || answer.redirected) await caches.delete(KEPT);
  else if (answer.ok && kept) await kept.put(request, answer.clone());
  return answer;
}

async function newest(request, asked) {
  // The page has no use for what was kept. (The cache mode "reload" would not tell: a reloaded page asks so as well.)
  if (request.headers.has("Anew")) return asked.catch(() => Response.error());
  const isSlow = Date.now() - slowSince < SLOW;
  const late = new Promise((resolve) => setTimeout(resolve, isSlow ? 0 : PATIENCE));
  const answer = await Promise.race([asked.catch(() => Response.error()), late]);
  if (!answer && !isSlow) slowSince = Date.now();
  if (answer && answer.type !== "error" && answer.status < 500) return answer;
  const how = {cacheName: KEPT, ignoreVary: true};
  return (await caches.match(request, how))
    ?? (await caches.match(request, {...how, ignoreSearch: true})) ?? answer ?? asked.catch(() => Response.error());
}
