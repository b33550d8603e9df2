//! What happens if …? The circuit in motion: every stem can be turned at any time, and one can go back.

use core::time::Duration;

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_answer::Motion;
use stemwise_units::GaugePressure;
use stemwise_wire as wire;

use super::follow::Follow;
use super::look::{Bench, OnTheBench};
use crate::ask::Units;
use crate::chart::{Chart, Series};
use crate::desk::{Card, Desk};
use crate::hand::value;
use crate::words::Word;

/// How often the picture changes: often enough for a needle, seldom enough for a phone.
const EVERY: Duration = Duration::from_millis(100);
/// Speeds that can be chosen: seconds of the circuit for each of the clock on the wall.
const SPEEDS: [u32; 5] = [1, 10, 60, 300, 1200];
/// So long may computing take of each interval, ms; a speed that needs more goes slower.
const BUDGET_MS: f64 = 60.0;
/// The circuit goes on in pieces of so many seconds, so that the budget can be kept.
const PIECE_S: f64 = 5.0;

/// The rehearsal.
#[component]
pub fn Rehearse(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let list = stemwise_answer::list(card.text.as_bytes());
    let motion = Motion::new(card.text.as_bytes(), true);
    match (motion, list) {
        (Ok(mut motion), Ok(list)) => {
            if let Some(procedure) = desk.to_rehearse.get_untracked() {
                desk.to_rehearse.set(None);
                // It comes from a plan for this circuit; one for another is simply not followed.
                let _ = motion.follow(procedure.as_bytes());
            }
            view! { <InMotion motion=Moved(motion) list file=card.text/> }.into_any()
        }
        (Err(error), _) | (_, Err(error)) => view! { <super::change::Broken error/> }.into_any(),
    }
}

/// A rehearsal on its way into a component.
pub(crate) struct Moved(pub(crate) Motion);

/// The circuit in motion; in a drill what is wrong stays hidden, and the run can be scored.
#[component]
pub(crate) fn InMotion(
    motion: Moved,
    list: wire::ListAnswer,
    file: String,
    /// The drill, and what it takes to start over.
    #[prop(optional)]
    drill: Option<(StoredValue<String>, Callback<()>)>,
) -> impl IntoView {
    let desk = Desk::here();
    let units = move || desk.units.get_untracked().system();
    let motion = motion.0;
    let frame = RwSignal::new(motion.frame(units()));
    let moment = RwSignal::new(motion.moment());
    let curves = RwSignal::new(motion.curves());
    let followed = RwSignal::new(motion.followed());
    let replayed = RwSignal::new(motion.replayed());
    let (said, done) = (RwSignal::new(None), RwSignal::new(Vec::<String>::new()));
    let faults = StoredValue::new(motion.faults());
    let assumed = motion.assumed();
    let atmosphere_pa = motion.atmosphere_pa();
    let motion = StoredValue::new_local(motion);
    let speed = RwSignal::new(0_u32);
    let runs = RwSignal::new(true);
    let show = move || {
        motion.with_value(|motion| {
            frame.set(motion.frame(units()));
            moment.set(motion.moment());
            curves.set(motion.curves());
            followed.set(motion.followed());
            replayed.set(motion.replayed());
            let line = |(seconds, words): &(f64, String)| format!("{}  {words}", clock(*seconds));
            done.set(motion.done().iter().map(line).collect());
        });
    };
    let act = move |words: String| {
        let outcome = motion.try_update_value(|motion| motion.act(&words));
        said.set(outcome.and_then(Result::err).map(|error| error.to_string()));
        show();
    };
    let undo = move |()| {
        motion.update_value(|motion| {
            motion.back();
        });
        said.set(None);
        show();
    };
    let would = move |words: String| {
        motion.with_value(|motion| motion.would(&words, units())).map_err(|error| error.to_string())
    };
    let again = move |()| {
        speed.set(0);
        if let Some((_, again)) = drill {
            return again.run(());
        }
        let outcome = motion.try_update_value(|motion| motion.start_over(runs.get_untracked()));
        said.set(outcome.and_then(Result::err).map(|error| error.to_string()));
        show();
    };
    let tick = set_interval_with_handle(
        move || {
            let wanted = f64::from(speed.get_untracked()) * EVERY.as_secs_f64();
            if wanted > 0.0 {
                let begun = js_sys::Date::now();
                let mut left = wanted;
                while left > 0.0 && js_sys::Date::now() - begun < BUDGET_MS {
                    motion.update_value(|motion| motion.advance(left.min(PIECE_S)));
                    left -= PIECE_S;
                }
                show();
                if replayed.with_untracked(|it| it.as_ref().is_some_and(|it| it.over)) {
                    speed.set(0);
                }
            }
        },
        EVERY,
    );
    on_cleanup(move || {
        if let Ok(tick) = tick {
            tick.clear();
        }
    });
    let jump = move |seconds: f64| {
        motion.update_value(|motion| motion.advance(seconds));
        show();
    };
    let file = StoredValue::new(file);
    let bench = Bench {
        frame,
        said,
        done,
        list: StoredValue::new(list),
        file,
        atmosphere_pa,
        act: Callback::new(act),
        undo: Callback::new(undo),
        would: Callback::new(would),
    };
    let take = move |procedure: String| {
        speed.set(0);
        let outcome = motion.try_update_value(|motion| motion.follow(procedure.as_bytes()));
        said.set(outcome.and_then(Result::err).map(|error| error.to_string()));
        show();
    };
    let next = move |()| {
        motion.try_update_value(Motion::next_step);
        show();
    };
    // One after the other, and the page breathes in between.
    let rest = move |()| {
        spawn_local(async move {
            while motion.try_update_value(Motion::next_step) == Some(true) {
                show();
                breathe().await;
            }
        });
    };
    let replay = move |what: Again| {
        speed.set(0);
        motion.update_value(|motion| match what {
            Again::Begin => {
                motion.replay();
            }
            Again::Action => motion.replay_action(),
            Again::Before(seconds) => {
                if motion.moment().seconds < seconds - BEFORE_S || motion.replay() {
                    motion.replay_until(seconds - BEFORE_S);
                }
            }
            Again::End => motion.end_replay(),
        });
        said.set(None);
        show();
    };
    let put = move |id: String, size: f64| {
        let outcome = motion.try_update_value(|motion| motion.put_fault(&id, size));
        said.set(outcome.and_then(Result::err).map(|error| error.to_string()));
        show();
    };
    let drawn = RwSignal::new(None::<Result<String, String>>);
    let draw = move |_| {
        let narrow =
            window().inner_width().ok().and_then(|width| width.as_f64()).is_some_and(|width| width < 760.0);
        let answer = motion.with_value(|motion| motion.diagram(narrow, units()));
        drawn.set(Some(answer.map(|answer| answer.svg).map_err(|error| error.to_string())));
    };
    let instruments = move || view! { <Instruments moment curves atmosphere_pa/> }.into_any();
    view! {
        <div class="top-line no-print">
            {drill.is_none().then(|| view! {
                <h1>{move || desk.say(Word::WhatHappensIf)}</h1>
                <button class="pick" aria-pressed=move || if runs.get() { "true" } else { "false" }
                    on:click=move |_| { runs.update(|runs| *runs = !*runs); again(()); }>
                    {move || desk.say(if runs.get() { Word::SystemRuns } else { Word::SystemStands })}
                </button>
            })}
        </div>
        <div class="clockwork" role="group" aria-label=move || desk.say(Word::Speed)>
            <strong class="clock" id="rehearsal-clock">{move || clock(moment.get().seconds)}</strong>
            <button id="pause" class="pick" aria-pressed=move || if speed.get() == 0 { "true" } else { "false" } on:click=move |_| speed.set(0)>{move || desk.say(Word::Pause)}</button>
            {SPEEDS.map(|times| view! {
                <button class="pick" data-speed=times.to_string() aria-pressed=move || if speed.get() == times { "true" } else { "false" } on:click=move |_| speed.set(times)>{format!("{times}×")}</button>
            })}
            <button class="quiet" on:click=move |_| jump(60.0)>{move || desk.say(Word::AMinuteOn)}</button>
        </div>
        {drill.is_none().then(|| view! {
            <Follow file atmosphere_pa followed take=Callback::new(take) next=Callback::new(next) rest=Callback::new(rest)/>
        })}
        <SeenAgain done moment replayed replay=Callback::new(replay)/>
        <OnTheBench bench again=Callback::new(again) instruments=ViewFn::from(instruments)/>
        <details>
            <summary>{move || desk.say(Word::PressureEnthalpy)}</summary>
            <button class="quiet" on:click=draw>{move || desk.say(Word::DrawNow)}</button>
            {move || drawn.get().map(|drawn| match drawn {
                Ok(svg) => view! { <div class="enthalpy" inner_html=svg></div> }.into_any(),
                Err(said) => view! { <p class="note warning">{desk.tell(said)}</p> }.into_any(),
            })}
        </details>
        {match drill {
            Some((drill, _)) => view! { <Worth drill motion/> }.into_any(),
            None => view! { <Faults faults put=Callback::new(move |(id, size)| put(id, size))/> }.into_any(),
        }}
        <details>
            <summary>{move || desk.say(Word::Assumed)}" ("{assumed.len()}")"</summary>
            <ul>{assumed.into_iter().map(|line| view! { <li>{desk.tell(line)}</li> }).collect_view()}</ul>
        </details>
    }
}

/// Lets the page show what has changed.
async fn breathe() {
    let mut wait = |resolve: js_sys::Function, _| {
        // Without a timer it goes on at once.
        let _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, 0);
    };
    let _ = wasm_bindgen_futures::JsFuture::from(js_sys::Promise::new(&mut wait)).await;
}

/// What can be done with a run that is over, or is seen once more.
#[derive(Clone, Copy, Debug)]
enum Again {
    /// From its beginning.
    Begin,
    /// To the moment after the next action.
    Action,
    /// To shortly before something came about, seconds.
    Before(f64),
    /// Let it be.
    End,
}

/// So long before something goes wrong one looks at it, s.
const BEFORE_S: f64 = 20.0;

/// A run once more: from the beginning, action by action, or to where it went wrong; at any moment one can go on by one's own hands.
#[component]
fn SeenAgain(
    done: RwSignal<Vec<String>>,
    moment: RwSignal<wire::MotionFrame>,
    replayed: RwSignal<Option<wire::SeenAgain>>,
    replay: Callback<Again>,
) -> impl IntoView {
    let desk = Desk::here();
    let is_over = move || replayed.with(|it| it.as_ref().is_some_and(|it| it.over));
    view! {
        {move || replayed.with(Option::is_none).then(|| view! {
            <button id="replay" class="quiet" disabled=move || done.with(Vec::is_empty) on:click=move |_| replay.run(Again::Begin)>{move || desk.say(Word::SeeAgain)}</button>
        })}
        {move || replayed.get().map(|run| view! {
            <section class="note replay" aria-label=desk.say(Word::SeenAgain)>
                <p id="replay-at"><strong>{desk.say(Word::SeenAgain)}": "</strong>
                    {move || clock(moment.get().seconds)}" / "{clock(run.end_s)}" · "{move || done.with(Vec::len)}" / "{run.actions}" "{desk.say(Word::ActionsDone)}</p>
                <div class="row">
                    <button id="replay-next" class="quiet" disabled=is_over on:click=move |_| replay.run(Again::Action)>{desk.say(Word::NextAction)}</button>
                    <button id="replay-end" class="quiet" on:click=move |_| replay.run(Again::End)>{desk.say(Word::GoOnFromHere)}</button>
                    <button class="quiet" on:click=move |_| replay.run(Again::Begin)>{desk.say(Word::SeeAgain)}</button>
                </div>
                {run.went_wrong.into_iter().map(|wrong| view! {
                    <p class="caution">{clock(wrong.seconds)}" "{desk.tell(wrong.say)}" "
                        <button class="quiet" on:click=move |_| replay.run(Again::Before(wrong.seconds))>{desk.say(Word::SeeHow)}</button></p>
                }).collect_view()}
            </section>
        })}
    }
}

/// What a run of a drill is worth.
#[component]
fn Worth(drill: StoredValue<String>, motion: StoredValue<Motion, LocalStorage>) -> impl IntoView {
    let desk = Desk::here();
    let scored = RwSignal::new(None::<Result<wire::DrillScore, wire::Failure>>);
    let score = move |_| {
        let units = Some(desk.units.get_untracked().system());
        let found =
            motion.with_value(|motion| drill.with_value(|drill| motion.drill_score(drill.as_bytes(), units)));
        scored.set(Some(found.map_err(|error| error.failure().error)));
    };
    view! {
        <button id="score" on:click=score>{move || desk.say(Word::ScoreIt)}</button>
        {move || scored.get().map(|scored| match scored {
            Err(failure) => view! { <super::plan::Failed failure/> }.into_any(),
            Ok(scored) => view! { <super::teach::Marks scored/> }.into_any(),
        })}
    }
}

/// Hours, minutes, seconds.
pub(super) fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0) as u64;
    format!("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
}

/// Gauges, what is about to go wrong, and the curves.
#[component]
fn Instruments(
    moment: RwSignal<wire::MotionFrame>,
    curves: RwSignal<Vec<wire::MotionCurve>>,
    atmosphere_pa: f64,
) -> impl IntoView {
    let desk = Desk::here();
    let hose = move |id: &str| match id {
        "low-hose" => desk.say(Word::LowGauge),
        "high-hose" => desk.say(Word::HighGauge),
        _ => desk.say(Word::CentreHose),
    };
    let in_units = move |pascal: f64| {
        let gauge = GaugePressure::from_pa(pascal);
        match desk.units.get() {
            Units::Si => gauge.as_bar(),
            Units::Ip => gauge.as_psi(),
        }
    };
    let series = Signal::derive(move || {
        curves
            .get()
            .into_iter()
            .filter(|curve| curve.hose != "centre-hose")
            .map(|curve| Series {
                name: hose(&curve.hose).to_owned(),
                low: curve.hose == "low-hose",
                points: curve
                    .points
                    .into_iter()
                    .map(|(seconds, pascal)| (seconds / 60.0, in_units(pascal - atmosphere_pa)))
                    .collect(),
            })
            .collect::<Vec<_>>()
    });
    view! {
        <section>
            <div class="dials">
                {move || moment.get().gauges.into_iter().filter(|gauge| gauge.hose != "centre-hose").map(|gauge| {
                    let on = gauge.port.is_some();
                    let name = hose(&gauge.hose).to_owned();
                    // In the air a gauge stands at zero.
                    let shown = if on { desk.gauge(gauge.shows_pa, atmosphere_pa) } else { "–".to_owned() };
                    let needle = if on { gauge.needle } else { 0.0 };
                    view! { <Dial name needle low=gauge.hose == "low-hose" shown on/> }
                }).collect_view()}
            </div>
            {move || {
                let moment = moment.get();
                view! {
                    <dl class="facts">
                        <div><dt>{desk.say(Word::Cooling)}</dt><dd>{format!("{:.2} kW", moment.cooling_w / 1000.0)}</dd></div>
                        <div><dt>{desk.say(Word::PowerDrawn)}</dt><dd>{format!("{:.2} kW", moment.power_w / 1000.0)}</dd></div>
                        {moment.compressors.into_iter().map(|compressor| view! {
                            <div><dt>{desk.named(&compressor.id.replace('-', " "))}" · "{compressor.trip.map_or_else(|| desk.say(if compressor.runs { Word::Turns } else { Word::Stands }).to_owned(), |trip| desk.told(&trip))}</dt>
                                <dd>{desk.temperature(compressor.discharge_k)}</dd></div>
                        }).collect_view()}
                    </dl>
                    {moment.tasks.into_iter().map(|task| view! { <p class="working">{desk.tell(task)}</p> }).collect_view()}
                    {moment.clocks.into_iter().filter(|clock| clock.seconds < 900.0).take(4).map(|at| view! {
                        <p class="note warning"><strong class="clock">{if at.seconds < 1.0 { desk.say(Word::Now).to_owned() } else { clock(at.seconds) }}</strong>" "{desk.tell(at.say)}</p>
                    }).collect_view()}
                }
            }}
            <Show when=move || series.with(|all| !all.is_empty())>
                <Chart series x=Signal::derive(|| "min") y=Signal::derive(move || match desk.units.get() { Units::Si => "bar", Units::Ip => "psi" })/>
            </Show>
        </section>
    }
}

/// A gauge with its needle.
#[component]
fn Dial(name: String, needle: f64, low: bool, shown: String, on: bool) -> impl IntoView {
    let angle = -120.0 + 240.0 * needle;
    view! {
        <figure class="dial" class:low=low class:off=!on>
            <svg viewBox="0 0 120 104" role="img" aria-label=format!("{name}: {shown}")>
                <path class="rim" d="M20 94A50 50 0 1 1 100 94"/>
                {(0..=10).map(|mark| {
                    let turn = -120.0 + 24.0 * f64::from(mark);
                    view! { <path class="tick" d="M60 14V22" transform=format!("rotate({turn} 60 64)")/> }
                }).collect_view()}
                <path class="needle" d="M60 66V24" transform=format!("rotate({angle:.1} 60 64)")/>
                <circle cx="60" cy="64" r="5"/>
            </svg>
            <figcaption><strong>{shown}</strong><span>{name}</span></figcaption>
        </figure>
    }
}

/// Faults to put in.
#[component]
fn Faults(faults: StoredValue<Vec<wire::FaultChoice>>, put: Callback<(String, f64)>) -> impl IntoView {
    let desk = Desk::here();
    let chosen = RwSignal::new(0_usize);
    let size = RwSignal::new(String::new());
    let of = move |at: usize| faults.with_value(|faults| faults.get(at).cloned());
    let choose = move |event: web_sys::Event| {
        let at = value(&event).parse().unwrap_or(0);
        chosen.set(at);
        size.set(of(at).map(|fault| format!("{:.3}", fault.usual)).unwrap_or_default());
    };
    size.set(of(0).map(|fault| format!("{:.3}", fault.usual)).unwrap_or_default());
    view! {
        <details>
            <summary>{move || desk.say(Word::PutFaultIn)}</summary>
            <div class="fields">
                <label>{move || desk.say(Word::WhichFault)}
                    <select on:change=choose>
                        {faults.get_value().into_iter().enumerate().map(|(at, fault)| view! { <option value=at.to_string()>{desk.phrase(fault.say)}</option> }).collect_view()}
                    </select>
                </label>
                <label>{move || format!("{} ({})", desk.say(Word::Size), of(chosen.get()).map(|fault| fault.unit).unwrap_or_default())}
                    <input inputmode="decimal" prop:value=move || size.get() on:input=move |event| size.set(value(&event))/>
                </label>
                <button class="quiet" on:click=move |_| if let Some(fault) = of(chosen.get_untracked()) {
                    put.run((fault.id, size.get_untracked().trim().replace(',', ".").parse().unwrap_or(0.0)));
                }>{move || desk.say(Word::PutIn)}</button>
            </div>
        </details>
    }
}
