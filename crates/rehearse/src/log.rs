//! What was done, in order: enough to run the same rehearsal again, to the last bit.

use stemwise_circuit::PlaceId;
use stemwise_service::{Action, Refused};
use stemwise_units::Temperature;

use crate::Rehearsal;
use crate::control::Room;
use crate::faults::Fault;

/// One thing that happened to a rehearsal from outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// An action.
    Act(Action),
    /// Time was let pass, s.
    Advance(f64),
    /// Time was let pass, with a limit to the steps.
    Within {
        /// s.
        seconds: f64,
        /// Steps.
        steps: u64,
    },
    /// A fault was put in.
    Fault(Fault),
    /// A place got another temperature.
    Place(PlaceId, Temperature),
    /// A place became a room.
    Room(PlaceId, Room),
}

impl Entry {
    /// Does the same to another rehearsal.
    ///
    /// # Errors
    /// [`Refused`] where an action doesn't fit its state.
    pub fn repeat(&self, on: &mut Rehearsal) -> Result<(), Refused> {
        match self {
            Self::Act(action) => on.act(action)?,
            Self::Advance(seconds) => on.advance(*seconds),
            Self::Within { seconds, steps } => {
                on.advance_within(*seconds, *steps);
            }
            Self::Fault(fault) => on.put_fault(*fault),
            Self::Place(place, temperature) => on.set_place(*place, *temperature),
            Self::Room(place, room) => on.set_room(*place, *room),
        }
        Ok(())
    }
}

/// An entry, and how often it came in a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Times {
    /// What.
    pub entry: Entry,
    /// How often.
    pub count: u32,
}

/// The log of a rehearsal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    entries: Vec<Times>,
}

impl Log {
    pub(crate) fn push(&mut self, entry: Entry) {
        match self.entries.last_mut() {
            Some(last)
                if last.entry == entry && matches!(entry, Entry::Advance(_) | Entry::Within { .. }) =>
            {
                last.count += 1;
            }
            _ => self.entries.push(Times { entry, count: 1 }),
        }
    }

    /// The entries, in order.
    pub fn entries(&self) -> &[Times] {
        &self.entries
    }

    /// Does the same to another rehearsal; begun from the same state, it comes to the same bits.
    ///
    /// # Errors
    /// [`Refused`] where an action doesn't fit the other's state.
    pub fn replay(&self, on: &mut Rehearsal) -> Result<(), Refused> {
        let each = self.entries.iter().flat_map(|times| (0..times.count).map(|_| &times.entry));
        each.into_iter().try_for_each(|entry| entry.repeat(on))
    }
}
