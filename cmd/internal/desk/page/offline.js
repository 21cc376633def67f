// Keeps the page and its core in the browser, so that it works without a network once it was loaded. The folder's maker
// writes which files there are, and a version that changes with any of them.

const version = 'VERSION';
const parts = ['FILES'];

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(version).then((cache) => cache.addAll(parts)).then(() => self.skipWaiting()));
});

self.addEventListener('activate', (event) => {
  event.waitUntil(caches.keys().then((all) => Promise.all(all.filter((k) => k !== version).map((k) => caches.delete(k))))
    .then(() => self.clients.claim()));
});

self.addEventListener('fetch', (event) => {
  if (event.request.method !== 'GET') return;
  event.respondWith(caches.open(version).then((cache) => cache.match(event.request, { ignoreSearch: true }))
    .then((kept) => kept || fetch(event.request)));
});
