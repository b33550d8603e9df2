//! A moment as a host gives it: milliseconds since 1970 and the clock's offset, written as RFC 3339 has it.

use core::fmt;

/// A moment by the clock of a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment {
    /// Milliseconds since 1970-01-01T00:00:00Z, without leap seconds.
    pub unix_ms: i64,
    /// How far the wall clock there is ahead of UTC, in minutes.
    pub offset_min: i32,
}

/// Not a moment.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{typed}\" is not a time; write it like 2026-03-05T14:07:09.250+01:00 (RFC 3339)")]
pub struct BadMoment {
    /// What was there.
    pub typed: String,
}

const DAY: i64 = 86_400_000;
/// Years 0000 to 9999, the range of RFC 3339, in milliseconds.
const RANGE: core::ops::RangeInclusive<i64> = -62_167_219_200_000..=253_402_300_799_999;
/// The largest offset of a wall clock, minutes.
const MOST_OFFSET: i32 = 23 * 60 + 59;

impl Moment {
    /// The same moment within the years 0000 to 9999 and with an offset of less than a day: what can be written and read again.
    pub fn bounded(self) -> Self {
        let offset_min = self.offset_min.clamp(-MOST_OFFSET, MOST_OFFSET);
        let shift = i64::from(offset_min) * 60_000;
        let (low, high) = (RANGE.start().saturating_sub(shift), RANGE.end().saturating_sub(shift));
        Self { unix_ms: self.unix_ms.clamp(low.max(*RANGE.start()), high.min(*RANGE.end())), offset_min }
    }

    /// Reads RFC 3339: "2026-03-05T14:07:09.250+01:00", "2026-03-05T13:07:09Z".
    ///
    /// # Errors
    /// [`BadMoment`].
    ///
    /// ```
    /// use stemwise_record::Moment;
    /// // The first example of RFC 3339 §5.8: 20 minutes and 50.52 seconds after the 23rd hour of 12 April 1985 in UTC.
    /// let read = Moment::parse("1985-04-12T23:20:50.52Z")?;
    /// assert_eq!((read.unix_ms, read.offset_min), (482_196_050_520, 0));
    /// assert!(Moment::parse("1985-13-12T23:20:50Z").is_err());
    /// # Ok::<(), stemwise_record::BadMoment>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, BadMoment> {
        parse(text).ok_or_else(|| BadMoment { typed: text.chars().take(60).collect() })
    }

    /// The date on the wall there: "2026-03-05".
    pub fn date(self) -> String {
        let (year, month, day) = civil(self.local().div_euclid(DAY));
        format!("{year:04}-{month:02}-{day:02}")
    }

    /// The time on the wall there, to the minute: "14:07".
    pub fn clock(self) -> String {
        let minutes = self.local().rem_euclid(DAY) / 60_000;
        format!("{:02}:{:02}", minutes / 60, minutes % 60)
    }

    const fn local(self) -> i64 {
        self.unix_ms.saturating_add(self.offset_min as i64 * 60_000)
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let within = self.local().rem_euclid(DAY);
        let (seconds, ms) = (within / 1000 % 60, within % 1000);
        write!(f, "{}T{}:{seconds:02}.{ms:03}", self.date(), self.clock())?;
        if self.offset_min == 0 {
            return f.write_str("Z");
        }
        let (sign, offset) = (if self.offset_min < 0 { '-' } else { '+' }, self.offset_min.unsigned_abs());
        write!(f, "{sign}{:02}:{:02}", offset / 60, offset % 60)
    }
}

/// Days since 1970-01-01 to year, month, day, and back: the proleptic Gregorian calendar by eras of 400 years, each beginning on 1 March
/// (H. Hinnant, "chrono-compatible low-level date algorithms").
fn civil(days: i64) -> (i64, i64, i64) {
    let shifted = days + 719_468;
    let (era, of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let day_of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * march + 2) / 5 + 1;
    let month = if march < 10 { march + 3 } else { march - 9 };
    (year_of_era + era * 400 + i64::from(month <= 2), month, day)
}

fn days(year: i64, month: i64, day: i64) -> i64 {
    let year = year - i64::from(month <= 2);
    let (era, year_of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let march = if month > 2 { month - 3 } else { month + 9 };
    let day_of_year = (153 * march + 2) / 5 + day - 1;
    era * 146_097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year - 719_468
}

fn parse(text: &str) -> Option<Moment> {
    let (date, time) = text.split_once(['T', 't', ' '])?;
    let (year, rest) = date.split_once('-')?;
    let (month, day) = rest.split_once('-')?;
    let (year, month, day) = (digits(year, 4)?, digits(month, 2)?, digits(day, 2)?);
    let at = days(year, month, day);
    // A day that is not in the month comes back as another one.
    if civil(at) != (year, month, day) {
        return None;
    }
    let (clock, offset_min) = offset(time)?;
    let (hours, rest) = clock.split_once(':')?;
    let (minutes, seconds) = rest.split_once(':')?;
    let (seconds, ms) = fraction(seconds)?;
    let (hours, minutes) = (digits(hours, 2)?, digits(minutes, 2)?);
    if hours > 23 || minutes > 59 || seconds > 60 {
        return None;
    }
    let local = at * DAY + ((hours * 60 + minutes) * 60 + seconds) * 1000 + ms;
    let unix_ms = local - i64::from(offset_min) * 60_000;
    RANGE.contains(&unix_ms).then_some(Moment { unix_ms, offset_min })
}

fn digits(text: &str, count: usize) -> Option<i64> {
    let all = text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit());
    if all { text.parse().ok() } else { None }
}

fn offset(time: &str) -> Option<(&str, i32)> {
    if let Some(clock) = time.strip_suffix(['Z', 'z']) {
        return Some((clock, 0));
    }
    let at = time.rfind(['+', '-'])?;
    let (clock, offset) = time.split_at_checked(at)?;
    let (hours, minutes) = offset.get(1..)?.split_once(':')?;
    let (hours, minutes) = (digits(hours, 2)?, digits(minutes, 2)?);
    let total =
        i32::try_from(hours * 60 + minutes).ok().filter(|total| *total <= MOST_OFFSET && minutes < 60)?;
    Some((clock, if offset.starts_with('-') { -total } else { total }))
}

/// Seconds, and milliseconds; what is finer is cut off.
fn fraction(seconds: &str) -> Option<(i64, i64)> {
    let Some((whole, part)) = seconds.split_once('.') else { return Some((digits(seconds, 2)?, 0)) };
    let fine = !part.is_empty() && part.len() <= 12 && part.bytes().all(|byte| byte.is_ascii_digit());
    let padded: String = part.chars().chain("000".chars()).take(3).collect();
    if fine { Some((digits(whole, 2)?, padded.parse().ok()?)) } else { None }
}
