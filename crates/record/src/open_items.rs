//! What keeps the next step from being done, and what is missing before a job may be closed.

use crate::replay::Replay;
use crate::{Block, Open, Progress, ReadingState, Standing};

/// What keeps a step from being done.
pub(crate) fn blocks(progress: &Progress, step: usize) -> Vec<Block> {
    let mut found = Vec::new();
    if progress.closed.is_some() {
        found.push(Block::Closed);
    }
    if let Some((_, why)) = &progress.paused {
        found.push(Block::Paused(why.clone()));
    }
    let Some(state) = progress.steps.get(step) else { return found };
    if state.standing == Standing::Held {
        found.push(Block::Held(state.why.clone().unwrap_or_default()));
    }
    if let Some(hold) = state.hold.as_ref().filter(|_| state.proof.is_none()) {
        found.push(Block::HoldPoint(hold.clone()));
    }
    let outside = unaccepted(progress).filter(|reading| reading.step == Some(step));
    found.extend(outside.map(|reading| Block::OutsideBand(reading.event.clone())));
    let running = progress.timers.iter().filter(|timer| timer.step == Some(step) && runs(timer));
    found.extend(running.map(|timer| Block::Timer(timer.event.clone())));
    found
}

const fn runs(timer: &crate::TimerState) -> bool {
    timer.ended.is_none() && timer.retracted.is_none()
}

/// Readings outside their bands that count and were not accepted. A later reading at the same step and place takes the place of an earlier
/// one.
pub(crate) fn unaccepted(progress: &Progress) -> impl Iterator<Item = &ReadingState> {
    let counts = |reading: &&ReadingState| {
        let band = reading
            .step
            .and_then(|step| progress.steps.get(step))
            .and_then(|step| step.bands.iter().find(|band| band.port == reading.place));
        band.is_none_or(|band| band.reading.as_ref() == Some(&reading.event))
    };
    let open = |reading: &&ReadingState| reading.is_outside() && reading.accepted.is_none();
    progress.readings.iter().filter(|reading| reading.retracted.is_none()).filter(open).filter(counts)
}

/// What is missing before the job may be closed.
pub(crate) fn open(progress: &Progress, replay: Option<&Replay>) -> Vec<Open> {
    let mut found: Vec<Open> = progress.unreadable.iter().cloned().map(Open::Unreadable).collect();
    if progress.opened.is_none() {
        found.push(Open::Unreadable("the entry that opens the job is missing".into()));
    }
    if progress.paused.is_some() {
        found.push(Open::Paused);
    }
    for (at, step) in progress.steps.iter().enumerate() {
        if !step.is_over() {
            found.push(Open::Step(at));
        }
        if step.standing != Standing::Done {
            continue;
        }
        if step.hold.is_some() && step.proof.is_none() {
            found.push(Open::HoldPoint(at));
        }
        let unread = step.bands.iter().filter(|band| band.reading.is_none());
        found.extend(unread.map(|band| Open::NoReading { step: at, port: band.port.clone() }));
    }
    found.extend(unaccepted(progress).map(|reading| Open::OutsideBand(reading.event.clone())));
    found.extend(
        progress.timers.iter().filter(|timer| runs(timer)).map(|timer| Open::Timer(timer.event.clone())),
    );
    found.extend(progress.not_back.iter().filter(|thing| !thing.meant).cloned().map(Open::NotBack));
    let weighed = progress.account.cylinders.iter().any(|cylinder| cylinder.weighings > 1);
    if replay.is_some_and(Replay::moves_refrigerant) && !weighed {
        found.push(Open::NotWeighed);
    }
    found
}
