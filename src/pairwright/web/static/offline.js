// Keeps the last page of each station and what it needs, for when the server is away. Nothing is sent from here.
const STORE = "pairwright-1";
const NEEDED = [
  "/static/colours.css", "/static/type.css", "/static/parts.css", "/static/station.css", "/static/print.css",
  "/static/frame.js", "/static/scan.js", "/static/outbox.js", "/static/station.js", "/static/mark.svg",
];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(STORE).then((store) => store.addAll(NEEDED)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys().then((names) => Promise.all(names.filter((n) => n !== STORE).map((n) => caches.delete(n))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const asked = event.request;
  const place = new URL(asked.url);
  if (asked.method !== "GET" || place.origin !== self.location.origin) return;
  const kept = place.pathname.startsWith("/static/") || place.pathname.startsWith("/stations/");
  if (!kept) return;
  event.respondWith(
    fetch(asked)
      .then(async (answer) => {
        if (answer.ok) await (await caches.open(STORE)).put(place.pathname, answer.clone());
        return answer;
      })
      .catch(async () => (await caches.match(place.pathname)) ?? Response.error()),
  );
});
