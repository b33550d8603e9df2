//! How fast the app is in a real browser: a measurement, not a test, for a quiet machine.
//!
//! `cargo test --release -p stemwise-serve --test speed -- --ignored --nocapture measured`

#![allow(clippy::print_stderr, reason = "what was measured must be said")]
#![allow(dead_code, reason = "the stories use the rest of the support")]

mod support;

use support::{Device, From, Page, Session};

type Outcome<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// How many times slower than this machine a phone of the middle class is taken to be.
const PHONE: f64 = 4.0;

/// How long a person looks at a form before it is sent off.
const CHOOSING: core::time::Duration = core::time::Duration::from_millis(1500);

/// A full set of readings of a split air conditioner, by the fields that take them.
const READINGS: [(&str, &str); 11] = [
    ("suction-pressure", "10.2 bar"),
    ("suction-line", "22 C"),
    ("discharge-pressure", "22.5 bar"),
    ("liquid-line", "32 C"),
    ("discharge-line", "78 C"),
    ("onto-condenser", "30 C"),
    ("off-condenser", "36 C"),
    ("onto-evaporator", "26 C"),
    ("off-evaporator", "19 C"),
    ("liquid-line-end", "31 C"),
    ("power", "0.75 kW"),
];

/// Since the page was asked for until there is something to touch, ms.
async fn usable(page: &Page) -> Outcome<f64> {
    // The time is taken in the page, not by the driver.
    let script = "const look = () => document.querySelector('.cards a') ? done(performance.now()) : requestAnimationFrame(look); look();";
    page.ask(script).await?.as_f64().ok_or_else(|| "no time".into())
}

/// Frames a second over five seconds.
async fn frames(page: &Page) -> Outcome<f64> {
    let script = "let n = 0; const start = performance.now(); const frame = (now) => { n += 1;\
        if (now - start < 5000) requestAnimationFrame(frame); else done(1000 * n / (now - start)); }; requestAnimationFrame(frame);";
    page.ask(script).await?.as_f64().ok_or_else(|| "no count".into())
}

/// Since a button was pressed until an element is there, ms, and the longest that the page stood still meanwhile.
async fn takes(page: &Page, button: &str, until: &str) -> Outcome<(f64, f64)> {
    let script = format!(
        "const start = performance.now(); let last = start, longest = 0;\
         const look = (now) => {{ longest = Math.max(longest, now - last); last = now;\
           if (document.querySelector('{until}')) done([performance.now() - start, longest]); else requestAnimationFrame(look); }};\
         document.querySelector('{button}').click(); requestAnimationFrame(look);"
    );
    let took = page.ask(&script).await?;
    let part = |at: usize| took.get(at).and_then(serde_json::Value::as_f64).ok_or("no time");
    Ok((part(0)?, part(1)?))
}

async fn all(session: &Session) -> Outcome<()> {
    let page = &session.page;
    page.slow_down(PHONE).await?;
    page.open("#/").await?;
    eprintln!(
        "first load, {PHONE} times slowed down: {:.0} ms until circuits can be touched",
        usable(page).await?
    );
    let parts = "done(performance.getEntriesByType('mark').map((mark) => mark.name + ' after ' + Math.round(mark.startTime) + ' ms').join(', '))";
    eprintln!("  of that: {}", page.ask(parts).await?);
    page.kept_offline().await?;
    page.reload().await?;
    session.cut_network();
    page.reload().await?;
    eprintln!("later load, offline, {PHONE} times slowed down: {:.0} ms", usable(page).await?);
    for slow in [1.0, PHONE] {
        page.slow_down(slow).await?;
        page.open("#/circuit/walk-in-cooler/plan").await?;
        page.wait("form button[type=submit]").await?;
        // A person chooses a job meanwhile.
        tokio::time::sleep(CHOOSING).await;
        let (took, still) = takes(page, "form button[type=submit]", ".steps .step").await?;
        eprintln!(
            "plan of the walk-in's drier, {slow} times slowed down: {took:.0} ms, the page stood still {still:.0} ms at most"
        );
    }
    page.slow_down(1.0).await?;
    for turn in ["first", "second"] {
        page.open("#/").await?;
        page.open("#/circuit/split-air-conditioner/measure").await?;
        page.touch("#ask-faults").await?;
        page.wait("#field-suction-pressure").await?;
        for (field, value) in READINGS {
            // Some lie folded away.
            let script = format!(
                "const field = document.querySelector('#field-{field}'); field.value = '{value}';\
                 for (const kind of ['input', 'change']) field.dispatchEvent(new Event(kind, {{ bubbles: true }})); done(1);"
            );
            page.ask(&script).await?;
        }
        let (took, still) = takes(page, "#judge", "#outcome .suspect").await?;
        eprintln!("faults ranked, {turn} time: {took:.0} ms, the page stood still {still:.0} ms at most");
    }
    page.open("#/circuit/walk-in-cooler/plan").await?;
    eprintln!("frames of a page at rest: {:.0} a second", frames(page).await?);
    for circuit in ["walk-in-cooler", "rack"] {
        for speed in ["1×", "60×"] {
            page.open("#/").await?;
            page.open(&format!("#/circuit/{circuit}/rehearse")).await?;
            page.wait("#rehearsal-clock").await?;
            page.press(speed).await?;
            eprintln!("rehearsing {circuit} at {speed}: {:.0} frames a second", frames(page).await?);
        }
    }
    Ok(())
}

#[test]
#[ignore = "a measurement, for a quiet machine"]
fn measured() {
    let Some(browser) = support::browser() else { return };
    let runtime = tokio::runtime::Runtime::new().expect("a runtime starts");
    runtime.block_on(async {
        let session = Session::start(browser, Device::Phone, From::Here).await.expect("a browser starts");
        let outcome = all(&session).await;
        session.page.clone().quit().await;
        outcome.expect("the page answers");
    });
}
