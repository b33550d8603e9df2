// Computes beside the page: each message is [number, question]; the answer carries the same number.
import init, { answer } from './app.js';

const ready = init();

onmessage = async (event) => {
  const [number, question] = event.data;
  await ready;
  postMessage([number, answer(question)]);
};

// A trap inside the module rejects the handler; the page hears of it as an error and starts a new worker.
self.addEventListener('unhandledrejection', (event) => {
  event.preventDefault();
  setTimeout(() => { throw event.reason; });
});
