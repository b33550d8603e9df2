// Starts the app, and keeps it on the device where the browser allows that (https, or this machine).
import init, { start } from './app.js';

await init();
performance.mark('module');
document.getElementById('boot')?.remove();
start();
performance.mark('shown');

if ('serviceWorker' in navigator) {
  const registration = await navigator.serviceWorker.register('./offline.js').catch(() => undefined);
  const offer = () => window.dispatchEvent(new CustomEvent('stemwise-update'));
  if (registration?.waiting && navigator.serviceWorker.controller) offer();
  registration?.addEventListener('updatefound', () => {
    const fresh = registration.installing;
    fresh?.addEventListener('statechange', () => {
      if (fresh.state === 'installed' && navigator.serviceWorker.controller) offer();
    });
  });
  // The new version takes over only when the person says so.
  window.addEventListener('stemwise-take-update', () => registration?.waiting?.postMessage('take over'));
  let reloading = false;
  let had = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    if (had && !reloading) { reloading = true; location.reload(); }
    had = true;
  });
}
