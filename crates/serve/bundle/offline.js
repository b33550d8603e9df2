// Keeps every file of the app on the device, under the version that they belong to.
const KEPT = 'stemwise ' + "6cf6143db3f2a72d";
const FILES = ["app.css","app.js","app.webmanifest","app_bg.wasm","boot.js","es.toml","icon-180.png","icon.svg","index.html","worker.js"];

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES.map((file) => new Request(file, { cache: 'reload' })))));
});

self.addEventListener('message', (event) => {
  if (event.data === 'take over') self.skipWaiting();
});

self.addEventListener('activate', (event) => {
  const old = (name) => name.startsWith('stemwise ') && name !== KEPT;
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method !== 'GET' || new URL(request.url).origin !== self.location.origin) return;
  const wanted = request.mode === 'navigate' ? 'index.html' : request;
  event.respondWith(caches.open(KEPT).then((kept) => kept.match(wanted, { ignoreSearch: true })).then((found) => found ?? fetch(request)));
});
