//! A job on this device: its record, and every entry on the shelf the moment it is made.

use std::collections::BTreeMap;

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_answer::{JobOpening, JobRecord, Moment, ProcedureAsk, Stamp};
use stemwise_wire as wire;

use crate::ask::Units;
use crate::desk::{Desk, new_key};
use crate::route::Route;
use crate::store::{Shelf, Store};

/// A job that is under way.
#[derive(Clone, Copy)]
pub struct Job {
    /// Where it is kept; no handler that waits for something finds the desk by itself any more.
    desk: Desk,
    key: StoredValue<String>,
    record: StoredValue<JobRecord>,
    /// Where it stands.
    pub state: RwSignal<wire::JobState>,
    /// Why the last entry did not come about.
    pub said: RwSignal<Option<String>>,
    by: RwSignal<String>,
}

/// The clock, the device and a random number, as the record wants them.
fn stamp(device: String) -> Stamp {
    let now = js_sys::Date::new_0();
    // A draw of 53 bits is random enough: it only tells apart what two devices of one name made.
    let random = (js_sys::Math::random() * 9.0e15) as u64;
    let offset_min = -(now.get_timezone_offset() as i32);
    Stamp { device, random, at: Moment { unix_ms: now.get_time() as i64, offset_min } }
}

/// The name of this device, made once.
async fn device(store: &Store) -> Result<String, String> {
    if let Some((_, known)) = store.all(Shelf::Settings, "device").await?.into_iter().next() {
        return Ok(known);
    }
    let name = new_key("device");
    store.put(Shelf::Settings, "device", &name).await?;
    Ok(name)
}

/// The shelf key of an entry: its own id, so that two pages with one job never write over each other. The record finds the order itself.
fn entry_key(job: &str, id: &str) -> String {
    format!("{job}/{id}")
}

impl Job {
    /// Opens a job with a procedure and goes to it.
    pub fn open(desk: Desk, circuit: String, procedure: String, words: Option<String>) {
        spawn_local(async move {
            let Some(store) = desk.store() else { return };
            let opened = async {
                let device = device(&store).await?;
                let ask = ProcedureAsk {
                    file: Some(procedure.into_bytes()),
                    units: desk.units.get_untracked().system(),
                    ..ProcedureAsk::default()
                };
                let opening = JobOpening {
                    circuit_file: circuit.as_bytes(),
                    ask: &ask,
                    words: words.as_deref(),
                    by: None,
                };
                let (_, added) =
                    JobRecord::open(&opening, &stamp(device)).map_err(|error| error.to_string())?;
                let key = new_key("job");
                store.put(Shelf::Events, &entry_key(&key, &added.id), &added.line).await?;
                Ok::<String, String>(key)
            };
            match opened.await {
                Ok(key) => desk.go(&Route::Job(key)),
                Err(error) => desk.trouble.set(Some(error)),
            }
        });
    }

    /// Reads a job of this device.
    pub async fn load(desk: Desk, key: String) -> Option<Self> {
        let store = desk.store()?;
        let lines = store.all(Shelf::Events, &format!("{key}/")).await.ok()?;
        if lines.is_empty() {
            return None;
        }
        let file: String = lines.into_iter().map(|(_, line)| line + "\n").collect();
        let (record, _) = JobRecord::read(file.as_bytes());
        let state = record.state(desk.units.get_untracked().system());
        Some(Self {
            desk,
            key: StoredValue::new(key),
            record: StoredValue::new(record),
            state: RwSignal::new(state),
            said: RwSignal::new(None),
            by: RwSignal::new(String::new()),
        })
    }

    /// Makes an entry: on the device first, then on the screen.
    pub fn add(self, entry: wire::JobEntry) {
        self.add_then(entry, |_| ());
    }

    /// Makes an entry, and goes on with its id once it is on the device.
    pub fn add_then(self, entry: wire::JobEntry, then: impl FnOnce(String) + 'static) {
        let desk = self.desk;
        spawn_local(async move {
            let Some(store) = desk.store() else { return };
            let device = match device(&store).await {
                Ok(device) => device,
                Err(error) => return desk.trouble.set(Some(error)),
            };
            let mut record = self.record.get_value();
            let by = self.by.get_untracked();
            let added = match record.add(&entry, Some(&by), &stamp(device)) {
                Ok(added) => added,
                Err(error) => return self.said.set(Some(error.to_string())),
            };
            let key = entry_key(&self.key.get_value(), &added.id);
            if let Err(error) = store.put(Shelf::Events, &key, &added.line).await {
                return desk.trouble.set(Some(error));
            }
            self.said.set(None);
            self.state.set(record.state(desk.units.get_untracked().system()));
            self.record.set_value(record);
            then(added.id);
        });
    }

    /// The job file.
    pub fn file(self) -> String {
        self.record.with_value(JobRecord::file)
    }

    /// The job as carried out, as a page to print.
    pub fn page(self, units: Units) -> Option<String> {
        self.record
            .with_value(|record| record.page(&stemwise_answer::JobPageAsk::default(), units.system()).ok())
            .map(|page| page.html)
    }

    /// The circuit that it is done on.
    pub fn circuit_file(self) -> String {
        self.record.with_value(|record| record.circuit_file().unwrap_or_default().to_owned())
    }

    /// The procedure in force.
    pub fn procedure_file(self) -> String {
        self.record.with_value(|record| record.procedure_file().unwrap_or_default().to_owned())
    }

    /// The key.
    pub fn key(self) -> String {
        self.key.get_value()
    }

    /// Who makes the entries.
    pub const fn by(self) -> RwSignal<String> {
        self.by
    }
}

/// A job in the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Its key.
    pub key: String,
    /// The job in words, and its circuit.
    pub say: String,
    /// How it stands.
    pub stands: String,
}

/// Every job of this device.
pub async fn jobs(desk: Desk) -> Vec<Line> {
    let Some(store) = desk.store() else { return Vec::new() };
    let mut files: BTreeMap<String, String> = BTreeMap::new();
    for (key, line) in store.all(Shelf::Events, "").await.unwrap_or_default() {
        let job = key.split('/').next().unwrap_or_default().to_owned();
        let file = files.entry(job).or_default();
        file.push_str(&line);
        file.push('\n');
    }
    let line = |(key, file): (String, String)| {
        let state = JobRecord::read(file.as_bytes()).0.state(desk.units.get_untracked().system());
        Line { key, say: format!("{}: {}", state.circuit, state.job), stands: state.stands }
    };
    files.into_iter().map(line).collect()
}

/// Takes a job file in: as a job of its own, or into the one that it belongs to.
pub async fn take_in(desk: Desk, file: String) -> Result<String, String> {
    let store = desk.store().ok_or("this browser keeps nothing")?;
    let (new, problems) = JobRecord::read(file.as_bytes());
    if new.entries() == 0 {
        return Err(problems.first().map_or_else(String::new, |problem| problem.say.clone()));
    }
    for known in jobs(desk).await {
        let lines = store.all(Shelf::Events, &format!("{}/", known.key)).await?;
        let text: String = lines.into_iter().map(|(_, line)| line + "\n").collect();
        let (mut record, _) = JobRecord::read(text.as_bytes());
        // A piece without its opening could belong to any job: it becomes one of its own.
        if new.circuit_file().is_some() && record.merge(&new).is_ok() {
            keep(&store, &known.key, &record).await?;
            return Ok(known.key);
        }
    }
    let key = new_key("job");
    keep(&store, &key, &new).await?;
    Ok(key)
}

/// Puts every entry of a record on the shelf.
async fn keep(store: &Store, key: &str, record: &JobRecord) -> Result<(), String> {
    // The first line of a job file is its heading.
    for (at, line) in record.file().lines().skip(1).enumerate() {
        let id = serde_json::from_str::<serde_json::Value>(line)
            .ok()
            .and_then(|line| Some(line.get("id")?.as_str()?.to_owned()));
        // A line of a newer version may have none.
        let id = id.unwrap_or_else(|| format!("without-{at:08}"));
        store.put(Shelf::Events, &entry_key(key, &id), line).await?;
    }
    Ok(())
}
