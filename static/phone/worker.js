// Keeps the files of the page for on site, and shows it where a page can't be reached. No page of anybody's
// data is kept here. VERSION, PAGE and FILES stand above, written by the server.

const CACHE = `on-site-${VERSION}`;
const PATIENCE = 10_000;

self.addEventListener("install", (event) => {
  const asked = [PAGE, ...FILES].map((address) => new Request(address, { cache: "reload" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(asked)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => names.filter((name) => name.startsWith("on-site-") && name !== CACHE));
  event.waitUntil(old.then((names) => Promise.all(names.map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});

async function page(request) {
  try {
    return await fetch(request, { signal: AbortSignal.timeout(PATIENCE) });
  } catch {
    return caches.match(PAGE, { cacheName: CACHE });
  }
}

// The page for on site comes from the phone at once, with its own version of the files.
async function own(request) {
  return await caches.match(request, { cacheName: CACHE, ignoreSearch: true }) ?? fetch(request);
}

async function file(request) {
  try {
    return await fetch(request);
  } catch (error) {
    const kept = await caches.match(request, { cacheName: CACHE });
    if (kept) return kept;
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin || request.headers.has("HX-Request")) return;
  if (request.mode === "navigate") event.respondWith(address.pathname === PAGE ? own(request) : page(request));
  else if (FILES.includes(address.pathname)) {
    const ofThePage = request.referrer && new URL(request.referrer).pathname === PAGE;
    event.respondWith(ofThePage || address.pathname.includes("/phone/") ? own(request) : file(request));
  }
});
