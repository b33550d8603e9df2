//! What is kept on the device: text under keys, in the browser's own database.

use idb::{Database, DatabaseEvent, Factory, KeyRange, ObjectStoreParams, Query, TransactionMode};
use wasm_bindgen::JsValue;

/// A shelf of the store.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shelf {
    /// Circuit files that the person made or opened.
    Circuits,
    /// What happened in jobs: one event a key, the job's key first.
    Events,
    /// Photos of jobs, as data addresses.
    Photos,
    /// Forms of readings and tests, as far as they are filled in.
    Forms,
    /// Settings.
    Settings,
}

impl Shelf {
    const ALL: [Self; 5] = [Self::Circuits, Self::Events, Self::Photos, Self::Forms, Self::Settings];

    const fn name(self) -> &'static str {
        match self {
            Self::Circuits => "circuits",
            Self::Events => "events",
            Self::Photos => "photos",
            Self::Forms => "forms",
            Self::Settings => "settings",
        }
    }
}

/// What went wrong with the store, as the browser says it.
pub(crate) type StoreError = String;

fn said(error: idb::Error) -> StoreError {
    error.to_string()
}

/// The store of this device.
pub(crate) struct Store {
    database: Database,
}

impl Store {
    /// Opens it, or makes it.
    ///
    /// # Errors
    /// Where the browser keeps nothing (private windows of some).
    pub(crate) async fn open() -> Result<Self, StoreError> {
        let factory = Factory::new().map_err(said)?;
        let mut request = factory.open("stemwise", Some(2)).map_err(said)?;
        request.on_upgrade_needed(|event| {
            let Ok(database) = event.database() else { return };
            let known = database.store_names();
            for shelf in Shelf::ALL.into_iter().filter(|shelf| !known.iter().any(|name| name == shelf.name()))
            {
                // What could not be made is missed when it is first used.
                let _ = database.create_object_store(shelf.name(), ObjectStoreParams::new());
            }
        });
        Ok(Self { database: request.await.map_err(said)? })
    }

    /// Puts a text on a shelf; it is on the device when this returns.
    ///
    /// # Errors
    /// Where there is no room.
    pub(crate) async fn put(&self, shelf: Shelf, key: &str, text: &str) -> Result<(), StoreError> {
        let change = self.database.transaction(&[shelf.name()], TransactionMode::ReadWrite).map_err(said)?;
        let store = change.object_store(shelf.name()).map_err(said)?;
        let key = JsValue::from_str(key);
        store.put(&JsValue::from_str(text), Some(&key)).map_err(said)?.await.map_err(said)?;
        change.commit().map_err(said)?.await.map_err(said)?;
        Ok(())
    }

    /// Takes one away.
    ///
    /// # Errors
    /// As [`Self::put`].
    pub(crate) async fn remove(&self, shelf: Shelf, key: &str) -> Result<(), StoreError> {
        let change = self.database.transaction(&[shelf.name()], TransactionMode::ReadWrite).map_err(said)?;
        let store = change.object_store(shelf.name()).map_err(said)?;
        store.delete(Query::Key(JsValue::from_str(key))).map_err(said)?.await.map_err(said)?;
        change.commit().map_err(said)?.await.map_err(said)?;
        Ok(())
    }

    /// Everything on a shelf whose key begins like this, in the order of the keys.
    ///
    /// # Errors
    /// Where it can't be read.
    pub(crate) async fn all(&self, shelf: Shelf, begins: &str) -> Result<Vec<(String, String)>, StoreError> {
        let look = self.database.transaction(&[shelf.name()], TransactionMode::ReadOnly).map_err(said)?;
        let store = look.object_store(shelf.name()).map_err(said)?;
        let range = || {
            let last = format!("{begins}\u{ffff}");
            KeyRange::bound(&JsValue::from_str(begins), &JsValue::from_str(&last), None, None).map_err(said)
        };
        let keys =
            store.get_all_keys(Some(Query::KeyRange(range()?)), None).map_err(said)?.await.map_err(said)?;
        let texts =
            store.get_all(Some(Query::KeyRange(range()?)), None).map_err(said)?.await.map_err(said)?;
        let text = |value: JsValue| value.as_string().unwrap_or_default();
        Ok(keys.into_iter().map(text).zip(texts.into_iter().map(text)).collect())
    }
}
