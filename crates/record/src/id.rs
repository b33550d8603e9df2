//! What makes an event unique: the device, its counter, and a random number from the host.

use core::fmt;

use crate::Moment;

/// The id of an event: "tablet-2.17.00000000d1ce0b47".
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EventId {
    /// The device: letters, digits and hyphens.
    pub device: String,
    /// The device's own count of the job's events, from 1.
    pub counter: u64,
    /// A random number, so that two devices of one name, or one that was set back, don't collide.
    pub random: u64,
}

/// Where an event comes from, as the host gives it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The device: letters, digits and hyphens, at most 40; other characters become hyphens.
    pub device: String,
    /// A random number.
    pub random: u64,
    /// The device's clock.
    pub at: Moment,
}

/// Not an id.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{typed}\" is not the id of an entry; it has a device, a number and sixteen hexadecimal digits, with dots between"
)]
pub struct BadId {
    /// What was there.
    pub typed: String,
}

/// No device's name is longer.
const LONGEST: usize = 40;

impl EventId {
    /// Reads an id.
    ///
    /// # Errors
    /// [`BadId`].
    pub fn parse(text: &str) -> Result<Self, BadId> {
        let parsed = || {
            let mut parts = text.split('.');
            let (device, counter, random) = (parts.next()?, parts.next()?, parts.next()?);
            let plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
            let sound =
                device == clean(device) && parts.next().is_none() && random.len() == 16 && plain(counter);
            let hex = random.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
            if !(sound && hex) {
                return None;
            }
            let id = Self {
                device: device.into(),
                counter: counter.parse().ok()?,
                random: u64::from_str_radix(random, 16).ok()?,
            };
            // One spelling for each id.
            (id.to_string() == text).then_some(id)
        };
        parsed().ok_or_else(|| BadId { typed: text.chars().take(80).collect() })
    }
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}.{:016x}", self.device, self.counter, self.random)
    }
}

/// A device's name as ids have it.
pub(crate) fn clean(device: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let name: String = device.chars().take(LONGEST).map(plain).collect();
    if name.is_empty() { "device".into() } else { name }
}
