//! A run in motion, seen once more: the same to the last bit, and one's own from any moment on.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_answer::{Motion, example};

/// The compressor's discharge valve shut while it runs, with a fault in the circuit.
fn run() -> Motion {
    let mut motion = Motion::new(example("walk-in-cooler").unwrap().as_bytes(), true).unwrap();
    motion.put_fault("undercharge", 0.5).unwrap();
    for _ in 0..12 {
        motion.advance(5.0);
    }
    for action in ["cap off stem discharge-valve", "ease nut discharge-valve"] {
        motion.act(action).unwrap();
        motion.advance(2.5);
    }
    motion.act("turn discharge-valve to front-seated").unwrap();
    for _ in 0..24 {
        motion.advance(5.0);
    }
    motion
}

#[test]
fn it_comes_to_the_same_again() {
    let mut motion = run();
    let (end, done, wrong, curves) =
        (motion.moment(), motion.done().to_vec(), motion.went_wrong(), motion.curves());
    assert!(!wrong.is_empty(), "a compressor against a shut valve: {end:?}");
    for _ in 0..2 {
        assert!(motion.replay());
        let seen = motion.replayed().unwrap();
        assert_eq!((seen.end_s, seen.actions, seen.over), (end.seconds, 3, false));
        assert_eq!(seen.went_wrong, wrong);
        motion.replay_action();
        assert_eq!(motion.done(), &done[..1]);
        motion.replay_until(wrong[0].seconds - 5.0);
        assert!(motion.went_wrong().is_empty(), "not yet");
        motion.advance(1e6);
        assert!(motion.replayed().unwrap().over);
        assert_eq!(
            (motion.moment(), motion.done().to_vec(), motion.went_wrong()),
            (end.clone(), done.clone(), wrong.clone())
        );
        assert_eq!(motion.curves(), curves);
    }
}

#[test]
fn one_can_go_on_by_ones_own_hands() {
    let mut motion = run();
    motion.replay();
    motion.replay_action();
    motion.replay_action();
    // An action of one's own ends it; before, nothing else does.
    assert!(motion.act("paint the receiver").is_err() && motion.replayed().is_some());
    motion.act("tighten nut discharge-valve").unwrap();
    assert!(motion.replayed().is_none());
    motion.advance(600.0);
    assert!(motion.went_wrong().is_empty(), "the valve stayed open");
    assert!(motion.replay() && motion.replayed().unwrap().actions == 3);
    assert!(motion.replayed().unwrap().went_wrong.is_empty());
    motion.end_replay();
    assert!(motion.replayed().is_none() && motion.done().is_empty());
}

/// The page's push–pull, by the clock: each step comes to its end, and the liquid is in the cylinder minutes later.
#[test]
fn push_pull_is_followed() {
    let page = include_str!("../../../docs/procedure-file.md");
    let text = page.split("## Push–pull").nth(1).unwrap().split("```").nth(1).unwrap().trim_start();
    let mut motion = Motion::new(example("walk-in-cooler").unwrap().as_bytes(), true).unwrap();
    motion.follow(text.as_bytes()).unwrap();
    while motion.next_step() {}
    let followed = motion.followed().unwrap();
    assert!(followed.steps.iter().all(|step| step.stands == "done"), "{followed:#?}");
    let took = followed.steps[1].to_s.unwrap() - followed.steps[1].from_s.unwrap();
    assert!((30.0..300.0).contains(&took), "{took} s for some 3 kg");
    let done: Vec<&str> = motion.done().iter().map(|(_, action)| action.as_str()).collect();
    assert!(done.contains(&"start push-pull"), "{done:?}");
}
