//! What every screen shares: settings, the circuits, the store, the worker, where one is.

use std::rc::Rc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use serde::{Deserialize, Serialize};
use stemwise_answer as core;
use stemwise_phrases::Phrasebook;
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature};
use stemwise_wire as wire;

use crate::ask::Units;
use crate::hand::text_of;
use crate::route::Route;
use crate::store::{Shelf, Store};
use crate::words::{Language, Word};
use crate::worker::Worker;

/// Light or dark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Theme {
    /// As the device is set.
    #[default]
    Device,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

/// A circuit that can be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Card {
    /// The key in addresses and in the store.
    pub key: String,
    /// What people call it.
    pub name: String,
    /// Its refrigerant.
    pub refrigerant: String,
    /// A remark.
    pub note: String,
    /// Whether it is built in.
    pub example: bool,
    /// The file.
    pub text: String,
}

/// What is on the desk. Copied freely: it is a handful of handles.
#[derive(Clone, Copy)]
pub(crate) struct Desk {
    /// The language.
    pub language: RwSignal<Language>,
    book: RwSignal<Option<Phrasebook>, LocalStorage>,
    /// The units.
    pub units: RwSignal<Units>,
    /// Light or dark.
    pub theme: RwSignal<Theme>,
    /// Where one is.
    pub route: RwSignal<Route>,
    /// Every circuit.
    pub circuits: RwSignal<Vec<Card>>,
    /// Whether the store has been read, so that a circuit which isn't there is truly not there.
    pub ready: RwSignal<bool>,
    /// What went wrong with the store, if anything.
    pub trouble: RwSignal<Option<String>>,
    /// Whether a new version of the app waits.
    pub update: RwSignal<bool>,
    /// A procedure on its way to the rehearsal.
    pub to_rehearse: RwSignal<Option<String>>,
    store: StoredValue<Option<Rc<Store>>, LocalStorage>,
    worker: StoredValue<Worker, LocalStorage>,
}

impl Desk {
    /// An empty desk; [`Self::lay_out`] fills it.
    pub(crate) fn new(route: Route) -> Self {
        Self {
            language: RwSignal::new(Language::default()),
            book: RwSignal::new_local(None),
            units: RwSignal::new(Units::default()),
            theme: RwSignal::new(Theme::default()),
            route: RwSignal::new(route),
            circuits: RwSignal::new(examples()),
            ready: RwSignal::new(false),
            trouble: RwSignal::new(None),
            update: RwSignal::new(false),
            to_rehearse: RwSignal::new(None),
            store: StoredValue::new_local(None),
            worker: StoredValue::new_local(Worker::start()),
        }
    }

    /// The desk of this page.
    pub(crate) fn here() -> Self {
        expect_context()
    }

    /// What the app says, in the person's language.
    pub(crate) fn say(self, word: Word) -> &'static str {
        word.say(self.language.get())
    }

    /// A sentence of the core as text, in the person's language.
    pub(crate) fn told(self, sentence: &str) -> String {
        let plain = || sentence.to_owned();
        self.book.with(|book| book.as_ref().map_or_else(plain, |book| book.say(sentence).into_text()))
    }

    /// The name of a thing as text.
    pub(crate) fn named(self, name: &str) -> String {
        let plain = || name.to_owned();
        self.book.with(|book| book.as_ref().map_or_else(plain, |book| book.say_name(name).into_text()))
    }

    /// A page of the core to print, in the person's language.
    pub(crate) fn page(self, page: &str) -> String {
        self.book.with_untracked(|book| {
            book.as_ref().map_or_else(|| page.to_owned(), |book| book.say_markup(page))
        })
    }

    /// A sentence of the core where only plain text may stand, such as in a list to choose from.
    pub(crate) fn phrase(self, sentence: String) -> impl IntoView {
        move || self.told(&sentence)
    }

    /// The name of a thing.
    pub(crate) fn name(self, name: String) -> impl IntoView {
        move || self.named(&name)
    }

    /// A sentence of the core; what is there in English only says so to whoever reads it aloud.
    pub(crate) fn tell(self, sentence: String) -> impl IntoView {
        move || {
            self.book.with(|book| match book {
                None => view! { <span>{sentence.clone()}</span> }.into_any(),
                Some(book) => book
                    .say(&sentence)
                    .parts()
                    .map(|(part, english)| view! { <span lang=english.then_some("en")>{part.to_owned()}</span> })
                    .collect_view()
                    .into_any(),
            })
        }
    }

    /// Speaks a language from here on; what the core says needs its book, which is read once.
    pub(crate) fn speak(self, language: Language) {
        self.language.set(language);
        let Some(file) = language.book() else { return self.book.set(None) };
        spawn_local(async move {
            let book = text_of(file)
                .await
                .and_then(|text| Phrasebook::read(&text).map_err(|error| error.to_string()));
            match book {
                // Another language may have been chosen meanwhile.
                Ok(book) if self.language.get_untracked() == language => self.book.set(Some(book)),
                Ok(_) => {}
                Err(error) => self.trouble.set(Some(error)),
            }
        });
    }

    /// The worker.
    pub(crate) fn worker(self) -> Worker {
        self.worker.get_value()
    }

    /// The store, if this browser has one.
    pub(crate) fn store(self) -> Option<Rc<Store>> {
        self.store.get_value()
    }

    /// Reads what this device keeps.
    pub(crate) fn lay_out(self) {
        spawn_local(async move {
            match Store::open().await {
                Ok(store) => {
                    let store = Rc::new(store);
                    if let Err(error) = self.read_settings(&store).await {
                        self.trouble.set(Some(error));
                    }
                    if let Err(error) = self.read_circuits(&store).await {
                        self.trouble.set(Some(error));
                    }
                    self.store.set_value(Some(store));
                }
                Err(error) => self.trouble.set(Some(error)),
            }
            self.ready.set(true);
        });
    }

    async fn read_settings(self, store: &Store) -> Result<(), String> {
        for (key, text) in store.all(Shelf::Settings, "").await? {
            match key.as_str() {
                "language" => self.speak(Language::from_tag(&text)),
                "units" => self.units.set(serde_json::from_str(&text).unwrap_or_default()),
                "theme" => self.theme.set(serde_json::from_str(&text).unwrap_or_default()),
                _ => {}
            }
        }
        Ok(())
    }

    async fn read_circuits(self, store: &Store) -> Result<(), String> {
        let own = store.all(Shelf::Circuits, "").await?;
        self.circuits.update(|all| {
            all.retain(|card| card.example);
            all.extend(own.into_iter().map(|(key, text)| card(key, text, false)));
        });
        Ok(())
    }

    /// Keeps a setting.
    pub(crate) fn keep(self, key: &'static str, text: String) {
        self.put(Shelf::Settings, key.into(), text);
    }

    /// Puts a text on a shelf; what goes wrong is shown.
    pub(crate) fn put(self, shelf: Shelf, key: String, text: String) {
        spawn_local(async move {
            if let Some(store) = self.store()
                && let Err(error) = store.put(shelf, &key, &text).await
            {
                self.trouble.set(Some(error));
            }
        });
    }

    /// Adds a circuit or changes one.
    pub(crate) fn put_circuit(self, key: String, text: String) {
        let new = card(key.clone(), text.clone(), false);
        self.circuits.update(|all| match all.iter_mut().find(|card| card.key == key && !card.example) {
            Some(known) => *known = new,
            None => all.push(new),
        });
        self.put(Shelf::Circuits, key, text);
    }

    /// Removes a circuit of the person's own.
    pub(crate) fn remove_circuit(self, key: String) {
        self.circuits.update(|all| all.retain(|card| card.example || card.key != key));
        spawn_local(async move {
            if let Some(store) = self.store()
                && let Err(error) = store.remove(Shelf::Circuits, &key).await
            {
                self.trouble.set(Some(error));
            }
        });
    }

    /// A circuit by its key.
    pub(crate) fn card(self, key: &str) -> Option<Card> {
        self.circuits.with(|all| all.iter().find(|card| card.key == key).cloned())
    }

    /// Goes somewhere.
    pub(crate) fn go(self, route: &Route) {
        if let Some(window) = web_sys::window() {
            // Fails only for an address that is none.
            let _ = window.location().set_hash(&route.hash());
        }
    }

    /// A pressure as the gauge shows it.
    pub(crate) fn gauge(self, pressure_pa: f64, atmosphere_pa: f64) -> String {
        let gauge = Pressure::from_pa(pressure_pa).gauge(Pressure::from_pa(atmosphere_pa));
        self.units.get().system().gauge_pressure(gauge)
    }

    /// A pressure as the instrument shows it that reads it.
    pub(crate) fn read(self, pressure_pa: f64, atmosphere_pa: f64) -> String {
        self.units.get().system().as_read(Pressure::from_pa(pressure_pa), Pressure::from_pa(atmosphere_pa))
    }

    /// What a gauge shows.
    pub(crate) fn shown(self, gauge_pa: f64) -> String {
        self.units.get().system().gauge_pressure(GaugePressure::from_pa(gauge_pa))
    }

    /// A vacuum, absolute.
    pub(crate) fn vacuum(self, pressure_pa: f64) -> String {
        self.units.get().system().vacuum(Pressure::from_pa(pressure_pa))
    }

    /// A mass.
    pub(crate) fn mass(self, kg: f64) -> String {
        self.units.get().system().mass(Mass::from_kg(kg))
    }

    /// A temperature.
    pub(crate) fn temperature(self, kelvin: f64) -> String {
        self.units.get().system().temperature(Temperature::from_k(kelvin))
    }
}

/// A new key that no circuit of this device has: the time and a counter keep it apart.
pub(crate) fn new_key(start: &str) -> String {
    let random = (js_sys::Math::random() * 1e9) as u32;
    format!("{start}-{:x}-{random:x}", js_sys::Date::now() as u64)
}

fn examples() -> Vec<Card> {
    let all = core::examples().examples;
    let text = |entry: &wire::ExampleEntry| core::example(&entry.name).unwrap_or_default().to_owned();
    all.iter().map(|entry| card(entry.name.clone(), text(entry), true)).collect()
}

/// A card with what the file says of itself; a broken file still has one.
fn card(key: String, text: String, example: bool) -> Card {
    let said = core::headline(text.as_bytes());
    Card {
        name: said.name.unwrap_or_else(|| key.clone()),
        refrigerant: said.refrigerant.unwrap_or_default(),
        note: said.note.unwrap_or_default(),
        key,
        example,
        text,
    }
}
