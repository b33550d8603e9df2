//! A run seen once more from its beginning, as it went, to the last bit; at any moment it can be gone on with by other hands.

use stemwise_prove::words_of;
use stemwise_rehearse::{Entry, Times};
use stemwise_wire as wire;

use super::Motion;
use super::seen::Seen;

/// A run on its way through what was done before.
#[derive(Debug)]
pub(super) struct Replay {
    script: Vec<Times>,
    /// The entry that comes next, and how many of its times are over.
    at: (usize, u32),
    /// When the run ended, s.
    end_s: f64,
    /// How many actions it had.
    actions: usize,
    went_wrong: Vec<wire::WentWrong>,
}

impl Replay {
    fn next(&self) -> Option<&Entry> {
        self.script.get(self.at.0).map(|times| &times.entry)
    }

    fn step(&mut self) {
        let (entry, over) = self.at;
        let last = self.script.get(entry).is_none_or(|times| over + 1 >= times.count);
        self.at = if last { (entry + 1, 0) } else { (entry, over + 1) };
    }
}

impl Motion {
    /// Goes back to the beginning, to show once more what was done since; time then passes as it did. False where nothing was done.
    ///
    /// ```
    /// use stemwise_answer::{Motion, example};
    /// let mut motion = Motion::new(example("walk-in-cooler")?.as_bytes(), true)?;
    /// assert!(!motion.replay());
    /// motion.advance(60.0);
    /// motion.act("cap off stem king")?;
    /// motion.advance(30.0);
    /// let end = motion.moment();
    /// assert!(motion.replay() && motion.moment().seconds == 0.0);
    /// motion.replay_action();
    /// assert_eq!((motion.done().len(), motion.moment().seconds), (1, 60.0));
    /// motion.advance(1e6);
    /// assert_eq!(motion.moment(), end);
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn replay(&mut self) -> bool {
        let replay = match self.replay.take() {
            Some(again) => Some(Replay { at: (0, 0), ..again }),
            None => self.run(),
        };
        let Some(replay) = replay else { return false };
        self.now = self.beginning.clone();
        self.marks.clear();
        self.found.clear();
        self.done.clear();
        self.seen = Seen::default();
        self.followed = None;
        self.replay = Some(replay);
        true
    }

    /// The run so far; none where nothing was done.
    fn run(&self) -> Option<Replay> {
        let script = self.now.log().entries().to_vec();
        // What was put in at the very beginning, before the clock ran, is no run.
        let passed =
            |times: &Times| matches!(times.entry, Entry::Act(_) | Entry::Advance(_) | Entry::Within { .. });
        script.iter().any(passed).then(|| Replay {
            script,
            at: (0, 0),
            end_s: self.now.seconds(),
            actions: self.done.len(),
            went_wrong: self.went_wrong(),
        })
    }

    /// What is seen once more; none where nothing is.
    pub fn replayed(&self) -> Option<wire::SeenAgain> {
        let replay = self.replay.as_ref()?;
        Some(wire::SeenAgain {
            end_s: replay.end_s,
            actions: replay.actions,
            over: replay.next().is_none(),
            went_wrong: replay.went_wrong.clone(),
        })
    }

    /// Goes on to the moment after the next action.
    pub fn replay_action(&mut self) {
        let done = self.done.len();
        while self.done.len() == done && self.replay_entry() {}
    }

    /// Goes on until its clock shows so many seconds, or it is over.
    pub fn replay_until(&mut self, seconds: f64) {
        while self.now.seconds() < seconds && self.replay_entry() {}
    }

    /// Lets it be: from here on it goes by one's own hands.
    pub fn end_replay(&mut self) {
        self.replay = None;
    }

    /// One thing more; false where it is over.
    fn replay_entry(&mut self) -> bool {
        let Some(entry) = self.replay.as_ref().and_then(Replay::next).cloned() else { return false };
        if let Entry::Act(action) = &entry {
            let found = self.now.hazards(&self.refrigerant, &self.stops, Some(action));
            self.mark();
            self.seen.found(found.clone());
            self.found = found;
            self.done.push((self.now.seconds(), words_of(self.now.assembly(), action)));
        }
        // It was done before from the same state.
        let done = entry.repeat(&mut self.now).is_ok();
        self.seen.moment(&self.now);
        if let Some(replay) = &mut self.replay {
            replay.step();
        }
        done
    }
}
