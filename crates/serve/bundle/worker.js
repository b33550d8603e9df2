// Computes beside the page. The first message is the page's module; each further one is [number, question], and its answer carries the same number.
import init, { answer } from './app.js';

let ready;

onmessage = async (event) => {
  if (event.data instanceof WebAssembly.Module) {
    ready = init({ module_or_path: event.data });
    return;
  }
  const [number, question] = event.data;
  await ready;
  postMessage([number, answer(question)]);
};

// A trap inside the module rejects the handler; the page hears of it as an error and starts a new worker.
self.addEventListener('unhandledrejection', (event) => {
  event.preventDefault();
  setTimeout(() => { throw event.reason; });
});
