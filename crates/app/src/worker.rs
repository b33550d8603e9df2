//! The page's side of the worker: questions go out, answers come back as futures.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

use js_sys::{Array, Function, Promise};
use serde::de::DeserializeOwned;
use stemwise_wire as wire;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageEvent, WorkerOptions, WorkerType};

use crate::ask::{Ask, read};

type Waiting = Rc<RefCell<BTreeMap<u32, Function>>>;

/// A worker with what it still owes.
#[derive(Clone)]
pub(crate) struct Worker {
    worker: Rc<RefCell<Option<web_sys::Worker>>>,
    waiting: Waiting,
    next: Rc<Cell<u32>>,
    warm: Rc<Cell<bool>>,
}

impl Worker {
    /// Starts it.
    pub(crate) fn start() -> Self {
        let waiting = Waiting::default();
        Self {
            worker: Rc::new(RefCell::new(spawn(&waiting))),
            waiting,
            next: Rc::default(),
            warm: Rc::default(),
        }
    }

    /// Asks and waits for the answer.
    ///
    /// # Errors
    /// The failure that the core names, or that the worker broke down; it is started again then.
    pub(crate) async fn ask<T: DeserializeOwned>(&self, ask: &Ask) -> Result<T, wire::Failure> {
        let text = serde_json::to_string(ask).unwrap_or_default();
        let id = self.next.get();
        self.next.set(id.wrapping_add(1));
        let waiting = self.waiting.clone();
        let promise = Promise::new(&mut |resolve, _| {
            waiting.borrow_mut().insert(id, resolve);
        });
        if let Some(worker) = self.worker.borrow().as_ref() {
            // A worker that can't take it answers with an error event.
            let _ = worker.post_message(&Array::of2(&id.into(), &text.into()));
        }
        let reply = JsFuture::from(promise).await.ok().and_then(|reply| reply.as_string());
        match reply {
            Some(reply) => read(&reply),
            None => {
                self.restart();
                Err(broken())
            }
        }
    }

    /// Gets the planner compiled while the person still chooses; once.
    pub(crate) async fn warm_up(&self) {
        if !self.warm.replace(true) {
            // Whoever asks next hears what is wrong.
            let _ = self.ask::<()>(&Ask::WarmUp).await;
        }
    }

    fn restart(&self) {
        if let Some(old) = self.worker.borrow_mut().take() {
            old.terminate();
        }
        *self.worker.borrow_mut() = spawn(&self.waiting);
        self.warm.set(false);
    }
}

fn broken() -> wire::Failure {
    wire::Failure {
        kind: "worker-broke-down".into(),
        message: "the computation broke down; nothing that you entered is lost".into(),
        hint: Some("Try again; if it happens again, export the circuit file and report it.".into()),
        problems: Vec::new(),
    }
}

fn spawn(waiting: &Waiting) -> Option<web_sys::Worker> {
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let worker = web_sys::Worker::new_with_options("./worker.js", &options).ok()?;
    // The worker takes the page's module, compiled as far as it is; what either compiles further serves both.
    let _ = worker.post_message(&wasm_bindgen::module());
    let owed = waiting.clone();
    let hear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let data = Array::from(&event.data());
        let id = data.get(0).as_f64().unwrap_or(-1.0);
        // Ids are small whole numbers.
        let resolve = owed.borrow_mut().remove(&(id as u32));
        if let Some(resolve) = resolve {
            let _ = resolve.call1(&JsValue::NULL, &data.get(1));
        }
    });
    worker.set_onmessage(Some(hear.as_ref().unchecked_ref()));
    hear.forget();
    let owed = waiting.clone();
    let fail = Closure::<dyn FnMut(web_sys::Event)>::new(move |_| {
        for (_, resolve) in core::mem::take(&mut *owed.borrow_mut()) {
            let _ = resolve.call1(&JsValue::NULL, &JsValue::NULL);
        }
    });
    worker.set_onerror(Some(fail.as_ref().unchecked_ref()));
    fail.forget();
    Some(worker)
}
