//! The log: a set of events in one order, whatever the order in which they came in.

use core::cmp::Ordering;

use crate::id::clean;
use crate::{Event, EventId, Stamp, What};

/// The events of a job, each once, in order.
///
/// A log is a set: merging is its union, so it is commutative, associative and idempotent, and loses nothing. Should two events have the
/// same id and differ (a damaged copy), both stay, and [`conflicts`](Self::conflicts) names them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    events: Vec<Event>,
}

impl FromIterator<Event> for Log {
    fn from_iter<I: IntoIterator<Item = Event>>(events: I) -> Self {
        let mut events: Vec<Event> = events.into_iter().collect();
        events.sort_by(compare);
        events.dedup_by(|one, other| compare(one, other) == Ordering::Equal);
        Self { events }
    }
}

impl Log {
    /// All of them, in order.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// An event by its id.
    pub fn get(&self, id: &EventId) -> Option<&Event> {
        self.events.iter().find(|event| event.id == *id)
    }

    /// What both know.
    #[must_use]
    pub fn merged(&self, other: &Self) -> Self {
        self.events.iter().chain(&other.events).cloned().collect()
    }

    /// Takes an event in. Returns whether it is new.
    pub fn insert(&mut self, event: Event) -> bool {
        match self.events.binary_search_by(|known| compare(known, &event)) {
            Ok(_) => false,
            Err(at) => {
                self.events.insert(at, event);
                true
            }
        }
    }

    /// The event that a device makes next: it counts on from its own last one, and stands after everything that this log knows.
    pub fn next(&self, stamp: &Stamp, by: Option<&str>, what: What) -> Event {
        let device = clean(&stamp.device);
        let own = self.events.iter().filter(|event| event.id.device == device);
        let counter = own.map(|event| event.id.counter).max().unwrap_or(0).saturating_add(1);
        let last = self.events.iter().map(|event| event.order).max();
        let at = stamp.at.bounded();
        let order = last.map_or(at.unix_ms, |last| at.unix_ms.max(last.saturating_add(1)));
        let id = EventId { device, counter, random: stamp.random };
        Event { id, order, at, by: by.map(str::to_owned), what, also: Vec::new() }
    }

    /// Makes the next event and takes it in.
    pub fn add(&mut self, stamp: &Stamp, by: Option<&str>, what: What) -> EventId {
        let event = self.next(stamp, by, what);
        let id = event.id.clone();
        self.insert(event);
        id
    }

    /// The opening that counts: the first.
    pub fn opening(&self) -> Option<&Event> {
        self.events.iter().find(|event| matches!(event.what, What::Opened(_)))
    }

    /// Whether two logs can be of one job: both were opened by the same event, or one of them lacks its opening.
    pub fn same_job(&self, other: &Self) -> bool {
        let openings = |log: &Self| -> Vec<EventId> {
            let all = log.events.iter().filter(|event| matches!(event.what, What::Opened(_)));
            all.map(|event| event.id.clone()).collect()
        };
        let (one, other) = (openings(self), openings(other));
        one.is_empty() || other.is_empty() || one.iter().any(|id| other.contains(id))
    }

    /// The ids that more than one event has.
    pub fn conflicts(&self) -> Vec<&EventId> {
        let mut ids: Vec<&EventId> = self.events.iter().map(|event| &event.id).collect();
        ids.sort();
        let mut twice: Vec<&EventId> = ids
            .iter()
            .zip(ids.iter().skip(1))
            .filter(|(one, next)| one == next)
            .map(|(one, _)| *one)
            .collect();
        twice.dedup();
        twice
    }
}

/// By order, then id, then content: equal only where nothing differs.
fn compare(one: &Event, other: &Event) -> Ordering {
    let by_place = one.order.cmp(&other.order).then_with(|| one.id.cmp(&other.id));
    if by_place.is_eq() && one == other {
        return by_place;
    }
    // Only a damaged copy shares a place; its content is compared as text, since floats have no order.
    by_place.then_with(|| format!("{one:?}").cmp(&format!("{other:?}")))
}
