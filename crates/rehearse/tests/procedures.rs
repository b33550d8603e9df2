//! Planned procedures run in motion to their end.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

#[test]
#[ignore = "explore"]
fn explore() {
    use stemwise_circuit::examples;
    let jobs = std::env::var("JOBS").unwrap_or_else(|_| {
        "pump down;replace the drier;recover all;evacuate;first charge;test with nitrogen;decommission".into()
    });
    let only = std::env::var("ONLY").unwrap_or_default();
    for example in examples().iter().filter(|e| only.is_empty() || e.name == only) {
        for said in jobs.split(';') {
            let clock = std::time::Instant::now();
            match std::panic::catch_unwind(|| {
                support::procedure(example.name, said, std::env::var("TIGHT").is_ok())
            }) {
                Ok(Some(ran)) => println!(
                    "{} / {said}: {} of {} readings, {} gave up, {:.0} s, {:?} took {:.2} s",
                    example.name,
                    ran.fine,
                    ran.all,
                    ran.gave_up,
                    ran.seconds,
                    ran.statistics,
                    clock.elapsed().as_secs_f64()
                ),
                Ok(None) => println!("{} / {said}: no such job or plan", example.name),
                Err(_) => println!("{} / {said}: PANIC", example.name),
            }
        }
    }
}
