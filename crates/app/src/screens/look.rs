//! What is joined now? The circuit under one's hands, settling at once.

use std::collections::BTreeSet;

use leptos::prelude::*;
use stemwise_answer::Trial;
use stemwise_wire as wire;

use super::hands::{OpenAndClose, OtherHands};
use crate::desk::{Card, Desk};
use crate::diagram::{Diagram, Touched};
use crate::words::Word;

/// A circuit under one's hands, as the parts of a screen share it: settling at once here, in motion when it is rehearsed.
#[derive(Clone, Copy)]
pub(crate) struct Bench {
    /// How it stands.
    pub(crate) frame: RwSignal<wire::Frame>,
    /// Why the last action did not come about.
    pub(crate) said: RwSignal<Option<String>>,
    /// What was done so far.
    pub(crate) done: RwSignal<Vec<String>>,
    /// What is in the circuit.
    pub(crate) list: StoredValue<wire::ListAnswer>,
    /// The circuit file.
    pub(crate) file: StoredValue<String>,
    /// Where gauges read zero, Pa.
    pub(crate) atmosphere_pa: f64,
    /// Does an action, in the words of the procedure file.
    pub(crate) act: Callback<String>,
    /// Takes the last one back.
    pub(crate) undo: Callback<()>,
    /// What an action would do.
    pub(crate) would: Callback<String, Result<Vec<wire::Hazard>, String>>,
}

impl Bench {
    pub(super) fn act(self, words: &str) {
        self.act.run(words.to_owned());
    }

    /// Around a trial.
    pub(crate) fn of(
        desk: Desk,
        trial: StoredValue<Trial, LocalStorage>,
        list: wire::ListAnswer,
        file: StoredValue<String>,
    ) -> Self {
        let units = move || desk.units.get_untracked().system();
        let frame = RwSignal::new(trial.with_value(|trial| trial.frame(units())));
        let (said, done) = (RwSignal::new(None), RwSignal::new(Vec::new()));
        let atmosphere_pa = trial.with_value(Trial::atmosphere_pa);
        let show = move || {
            trial.with_value(|trial| {
                frame.set(trial.frame(units()));
                done.set(trial.done());
            });
        };
        let act = move |words: String| {
            let outcome = trial.try_update_value(|trial| trial.act(&words));
            said.set(outcome.and_then(Result::err).map(|error| error.to_string()));
            show();
        };
        let undo = move |()| {
            trial.update_value(|trial| {
                trial.undo();
            });
            said.set(None);
            show();
        };
        let would = move |words: String| {
            trial.with_value(|trial| trial.would(&words, units())).map_err(|error| error.to_string())
        };
        Self {
            frame,
            said,
            done,
            list: StoredValue::new(list),
            file,
            atmosphere_pa,
            act: Callback::new(act),
            undo: Callback::new(undo),
            would: Callback::new(would),
        }
    }
}

/// The circuit to try one's hands on.
#[component]
pub(crate) fn Look(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let runs = RwSignal::new(true);
    let start = RwSignal::new(0_u32);
    let text = StoredValue::new(card.text);
    view! {
        <div class="top-line no-print">
            <h1>{move || desk.say(Word::WhatIsJoined)}</h1>
            <button class="pick" aria-pressed=move || if runs.get() { "true" } else { "false" }
                on:click=move |_| runs.update(|runs| *runs = !*runs)>
                {move || desk.say(if runs.get() { Word::SystemRuns } else { Word::SystemStands })}
            </button>
        </div>
        {move || {
            start.track();
            let file = text.get_value();
            desk.units.track();
            let (trial, list) = match (Trial::new(file.as_bytes(), runs.get()), stemwise_answer::list(file.as_bytes())) {
                (Ok(trial), Ok(list)) => (trial, list),
                (Err(error), _) | (_, Err(error)) => return view! { <super::change::Broken error/> }.into_any(),
            };
            let bench = Bench::of(desk, StoredValue::new_local(trial), list, text);
            let again = Callback::new(move |()| start.update(|count| *count += 1));
            view! { <OnTheBench bench again/> }.into_any()
        }}
    }
}

#[component]
pub(crate) fn OnTheBench(
    bench: Bench,
    again: Callback<()>,
    #[prop(optional)] instruments: Option<ViewFn>,
) -> impl IntoView {
    let desk = Desk::here();
    let touched = RwSignal::new(None::<Touched>);
    let lit = Memo::new(move |_| lit(bench, touched.get().as_ref()));
    view! {
        <div class="bench">
            <Diagram file=bench.file.get_value() frame=bench.frame touched lit/>
            <div class="side">
                {move || bench.said.get().map(|said| view! { <p class="note warning" role="alert">{desk.tell(said)}</p> })}
                {move || match touched.get() {
                    None => view! { <p>{desk.say(Word::TouchSomething)}</p> }.into_any(),
                    Some(touched) => view! { <Inspect bench touched/> }.into_any(),
                }}
                <Hazards hazards=Signal::derive(move || bench.frame.get().hazards)/>
                {match instruments { Some(instruments) => instruments.run(), None => view! { <Gauges bench/> }.into_any() }}
                <All bench touched/>
                <DoneSoFar bench again/>
            </div>
        </div>
    }
}

/// The spaces that are joined to what was touched.
fn lit(bench: Bench, touched: Option<&Touched>) -> BTreeSet<String> {
    let frame = bench.frame.get();
    let section_of =
        |id: &str| frame.spaces.iter().find(|space| space.space == id).map(|space| space.section);
    let spaces = match touched {
        Some(Touched::Space(id)) => vec![id.clone()],
        Some(Touched::Valve(id)) => bench.list.with_value(|list| {
            let found = list.valves.iter().find(|valve| valve.id == *id);
            found.map(|valve| valve.between.to_vec()).unwrap_or_default()
        }),
        Some(Touched::Port(id)) => {
            let gauge = frame.gauges.iter().find(|gauge| gauge.at == *id);
            gauge.map(|gauge| vec![gauge.reads.clone()]).unwrap_or_default()
        }
        None => Vec::new(),
    };
    // A valve parts two sections: the one on its line side is shown.
    let Some(section) = spaces.first().and_then(|id| section_of(id)) else { return BTreeSet::new() };
    frame.spaces.iter().filter(|space| space.section == section).map(|space| space.space.clone()).collect()
}

/// What was touched: what it is, how it stands, what can be done with it.
#[component]
fn Inspect(bench: Bench, touched: Touched) -> impl IntoView {
    match touched {
        Touched::Space(id) => view! { <OfSpace bench id/> }.into_any(),
        Touched::Valve(id) => view! { <OfValve bench id/> }.into_any(),
        Touched::Port(id) => view! { <OfPort bench id/> }.into_any(),
    }
}

/// What a space holds, in words.
pub(crate) fn holds(holds: &str) -> Word {
    match holds {
        "liquid" => Word::Liquid,
        "liquid-and-vapour" => Word::LiquidAndVapour,
        "nitrogen" => Word::Nitrogen,
        "air" => Word::Air,
        "vacuum" => Word::Vacuum,
        _ => Word::Vapour,
    }
}

fn space_name(bench: Bench, id: &str) -> String {
    bench.list.with_value(|list| {
        list.spaces
            .iter()
            .find(|space| space.id == id)
            .map_or_else(|| id.to_owned(), |space| space.name.clone())
    })
}

#[component]
fn OfSpace(bench: Bench, id: String) -> impl IntoView {
    let desk = Desk::here();
    let name = space_name(bench, &id);
    let hands = id.clone();
    view! {
        <section class="inspect">
            <h2>{desk.name(name)}</h2>
            {move || {
                let frame = bench.frame.get();
                frame.spaces.iter().find(|space| space.space == id).map(|space| {
                    let joined: Vec<String> = frame.spaces.iter()
                        .filter(|other| other.section == space.section && other.space != id)
                        .map(|other| desk.named(&space_name(bench, &other.space))).collect();
                    view! { <SpaceFacts space=space.clone() atmosphere_pa=bench.atmosphere_pa/>
                        <p>{if joined.is_empty() { desk.say(Word::JoinedToNothing).to_owned() } else { format!("{}: {}.", desk.say(Word::JoinedTo), joined.join(", ")) }}</p> }
                })
            }}
            <OpenAndClose bench id=hands/>
        </section>
    }
}

/// Pressure, temperature, mass and phase of a space.
#[component]
pub(crate) fn SpaceFacts(space: wire::SpaceFrame, atmosphere_pa: f64) -> impl IntoView {
    let desk = Desk::here();
    let pressure = if space.holds == "vacuum" {
        desk.vacuum(space.pressure_pa)
    } else {
        desk.gauge(space.pressure_pa, atmosphere_pa)
    };
    view! {
        <dl class="facts">
            <div><dt>{desk.say(Word::Pressure)}</dt><dd>{pressure}</dd></div>
            <div><dt>{desk.say(Word::Temperature)}</dt><dd>{desk.temperature(space.temperature_k)}</dd></div>
            <div><dt>{desk.say(Word::Mass)}</dt><dd>{desk.mass(space.refrigerant_kg)}</dd></div>
            <div><dt>{desk.say(holds(&space.holds))}</dt>
                <dd>{(space.liquid_fraction > 0.0).then(|| format!("{:.0} %", space.liquid_fraction * 100.0))}</dd></div>
        </dl>
    }
}

/// A position in words.
pub(crate) fn position(word: &str) -> Word {
    match word {
        "back-seated" => Word::BackSeated,
        "cracked" => Word::Cracked,
        "mid-seated" => Word::MidSeated,
        "front-seated" => Word::FrontSeated,
        "open" => Word::Open,
        _ => Word::Shut,
    }
}

#[component]
fn OfValve(bench: Bench, id: String) -> impl IntoView {
    let desk = Desk::here();
    let valve = bench.list.with_value(|list| list.valves.iter().find(|valve| valve.id == id).cloned());
    let Some(valve) = valve else {
        return view! { <Machine bench id/> }.into_any();
    };
    let key = StoredValue::new(id.clone());
    let stem = move || bench.frame.get().stems.get(&key.get_value()).cloned();
    let has_stem = !valve.positions.is_empty();
    let positions = StoredValue::new(valve.positions.clone());
    let cap_off =
        move || bench.frame.get().caps_off.iter().any(|cap| cap.of == "stem" && cap.id == key.get_value());
    let nut_eased = move || bench.frame.get().nuts_eased.contains(&key.get_value());
    let runs = move || bench.frame.get().running.contains(&key.get_value());
    let held = move || bench.frame.get().held_open.contains(&key.get_value());
    let kind = valve.kind.clone();
    let sides = [space_name(bench, &valve.between[0]), space_name(bench, &valve.between[1])];
    view! {
        <section class="inspect">
            <h2>{desk.name(valve.name.clone())}</h2>
            <p>{sides.map(|side| desk.named(&side)).join(" – ")}</p>
            {has_stem.then(|| view! {
                <crate::diagram::Cutaway file=bench.file.get_value() valve=key.get_value() frame=bench.frame between=valve.between.clone()
                    then=Callback::new(move |to: String| bench.act(&format!("turn {} to {to}", key.get_value())))/>
                <p class="stand" aria-live="polite"><strong>{move || stem().map(|at| desk.say(position(&at)))}</strong></p>
                <div class="row">
                    <button class="quiet" on:click=move |_| bench.act(&format!("cap {} stem {}", if cap_off() { "on" } else { "off" }, key.get_value()))>
                        {move || desk.say(if cap_off() { Word::CapOn } else { Word::CapOff })}
                    </button>
                    <button class="quiet" on:click=move |_| bench.act(&format!("{} nut {}", if nut_eased() { "tighten" } else { "ease" }, key.get_value()))>
                        {move || desk.say(if nut_eased() { Word::TightenNut } else { Word::EaseNut })}
                    </button>
                </div>
                <div class="turns" role="group" aria-label=move || desk.say(Word::OpenFully)>
                    {move || positions.get_value().into_iter().map(|to| {
                        let words = format!("turn {} to {to}", key.get_value());
                        let here = stem().as_deref() == Some(&to);
                        let turn = words.clone();
                        view! {
                            <button class="pick" aria-pressed=if here { "true" } else { "false" } disabled=here
                                on:click=move |_| bench.act(&turn)>{desk.say(position(&to))}</button>
                        }
                    }).collect_view()}
                </div>
                <NextTurn bench words=Signal::derive(move || {
                    let at = stem();
                    let all = positions.get_value();
                    let index = all.iter().position(|known| Some(known) == at.as_ref())?;
                    let to = all.get(index + 1).or_else(|| all.get(index.checked_sub(1)?))?;
                    Some((format!("turn {} to {to}", key.get_value()), to.clone()))
                })/>
            })}
            {(kind == "solenoid-valve").then(|| view! {
                <button class="quiet" on:click=move |_| bench.act(&format!("{} {}", if held() { "let go" } else { "hold open" }, key.get_value()))>
                    {move || desk.say(if held() { Word::LetGo } else { Word::HoldOpen })}
                </button>
            })}
            {(kind == "compressor").then(|| view! {
                <button on:click=move |_| bench.act(&format!("{} {}", if runs() { "stop" } else { "start" }, key.get_value()))>
                    {move || desk.say(if runs() { Word::StopIt } else { Word::StartIt })}
                </button>
            })}
        </section>
    }.into_any()
}

/// A machine of the rig, or the power.
#[component]
fn Machine(bench: Bench, id: String) -> impl IntoView {
    let desk = Desk::here();
    let name = id.replace('-', " ");
    let key = StoredValue::new(id);
    let runs = move || bench.frame.get().running.contains(&key.get_value());
    let stem = move || bench.frame.get().stems.get(&key.get_value()).cloned();
    view! {
        <section class="inspect">
            <h2>{desk.name(name)}</h2>
            {move || match stem() {
                Some(at) => {
                    let to = if at == "open" { "shut" } else { "open" };
                    view! { <p><strong>{desk.say(position(&at))}</strong></p>
                        <button on:click=move |_| bench.act(&format!("turn {} to {to}", key.get_value()))>
                            {format!("{}: {}", desk.say(Word::OpenFully), desk.say(position(to)))}</button> }.into_any()
                }
                None => view! {
                    <button on:click=move |_| bench.act(&format!("{} {}", if runs() { "stop" } else { "start" }, key.get_value()))>
                        {desk.say(if runs() { Word::StopIt } else { Word::StartIt })}
                    </button> }.into_any(),
            }}
        </section>
    }
}

/// What the next turn would do, before it is done.
#[component]
fn NextTurn(bench: Bench, words: Signal<Option<(String, String)>>) -> impl IntoView {
    let desk = Desk::here();
    view! {
        {move || {
            bench.frame.track();
            let (words, to) = words.get()?;
            let said = match bench.would.run(words) {
                Err(why) => vec![desk.tell(why).into_any()],
                Ok(hazards) => {
                    let told: Vec<String> = hazards.into_iter().filter(|hazard| hazard.severity != "caution").map(|hazard| hazard.say).collect();
                    if told.is_empty() { vec![desk.say(Word::NoHazard).into_any()] } else { told.into_iter().map(|said| desk.tell(said).into_any()).collect() }
                }
            };
            Some(view! {
                <details class="next-turn" open>
                    <summary>{format!("{}: {}", desk.say(Word::NextTurn), desk.say(position(&to)))}</summary>
                    {said.into_iter().map(|said| view! { <p>{said}</p> }).collect_view()}
                </details>
            })
        }}
    }
}

#[component]
fn OfPort(bench: Bench, id: String) -> impl IntoView {
    let desk = Desk::here();
    let port = bench.list.with_value(|list| list.ports.iter().find(|port| port.id == id).cloned());
    let key = StoredValue::new(id);
    let core = port.as_ref().is_some_and(|port| port.core);
    let name = port.map(|port| port.name).unwrap_or_default();
    let cap_off =
        move || bench.frame.get().caps_off.iter().any(|cap| cap.of == "port" && cap.id == key.get_value());
    let hose = move || {
        bench.frame.get().hoses.iter().find(|on| on.port == key.get_value()).map(|on| on.hose.clone())
    };
    let core_out = move || bench.frame.get().cores_out.contains(&key.get_value());
    let free = move |hose: &str| !bench.frame.get().hoses.iter().any(|on| on.hose == hose);
    view! {
        <section class="inspect">
            <h2>{desk.name(name)}</h2>
            {move || bench.frame.get().gauges.iter().find(|gauge| gauge.at == key.get_value()).map(|gauge| view! {
                <p><strong>{gauge.pressure_gauge_pa.map_or_else(|| desk.say(Word::ReadsNothing).to_owned(), |pa| desk.shown(pa))}</strong>" "{desk.tell(gauge.why.clone())}</p>
            })}
            <div class="row">
                <button class="quiet" on:click=move |_| bench.act(&format!("cap {} port {}", if cap_off() { "on" } else { "off" }, key.get_value()))>
                    {move || desk.say(if cap_off() { Word::CapOn } else { Word::CapOff })}
                </button>
                {move || if hose().is_some() {
                    view! { <button on:click=move |_| bench.act(&format!("take hose off {}", key.get_value()))>{desk.say(Word::HoseOff)}</button> }.into_any()
                } else {
                    view! {
                        <button disabled=!free("low-hose") on:click=move |_| bench.act(&format!("fit low-hose on {}", key.get_value()))>{desk.say(Word::LowHoseOn)}</button>
                        <button disabled=!free("high-hose") on:click=move |_| bench.act(&format!("fit high-hose on {}", key.get_value()))>{desk.say(Word::HighHoseOn)}</button>
                    }.into_any()
                }}
                {core.then(|| view! {
                    <button class="quiet" on:click=move |_| bench.act(&if core_out() { format!("put core back {}", key.get_value()) } else { format!("pull core {} with tool", key.get_value()) })>
                        {move || desk.say(if core_out() { Word::CoreBack } else { Word::PullCore })}
                    </button>
                })}
            </div>
        </section>
    }
}

/// The hazards of a state, the worst first.
#[component]
pub(crate) fn Hazards(#[prop(into)] hazards: Signal<Vec<wire::Hazard>>) -> impl IntoView {
    let desk = Desk::here();
    let rank = |hazard: &wire::Hazard| match hazard.severity.as_str() {
        "danger" => 0,
        "warning" => 1,
        _ => 2,
    };
    view! {
        <section aria-live="polite">
            {move || {
                let mut all = hazards.get();
                all.sort_by_key(rank);
                if all.is_empty() {
                    return view! { <p class="note good">{desk.say(Word::NoHazard)}</p> }.into_any();
                }
                all.into_iter().map(|hazard| {
                    let word = match hazard.severity.as_str() { "danger" => Word::Danger, "warning" => Word::Warning, _ => Word::Caution };
                    view! {
                        <details class=format!("note {}", hazard.severity) open=hazard.severity == "danger">
                            <summary><strong>{desk.say(word)}": "</strong>{desk.tell(hazard.say)}</summary>
                            <p>{desk.say(Word::HowToAvoid)}": "{desk.tell(hazard.avoid)}</p>
                            <p class="small">{hazard.source}</p>
                        </details>
                    }
                }).collect_view().into_any()
            }}
        </section>
    }
}

#[component]
fn Gauges(bench: Bench) -> impl IntoView {
    let desk = Desk::here();
    let port_name = move |id: &str| {
        bench.list.with_value(|list| {
            list.ports
                .iter()
                .find(|port| port.id == id)
                .map_or_else(|| id.to_owned(), |port| port.name.clone())
        })
    };
    view! {
        <section>
            <h2>{move || desk.say(Word::Gauges)}</h2>
            {move || {
                let gauges = bench.frame.get().gauges;
                if gauges.is_empty() {
                    return view! { <p>{desk.say(Word::NoGauge)}</p> }.into_any();
                }
                gauges.into_iter().map(|gauge| view! {
                    <p class="gauge"><strong>{gauge.pressure_gauge_pa.map_or_else(|| "–".to_owned(), |pa| desk.shown(pa))}</strong>
                        <span>{desk.name(port_name(&gauge.at))}</span><small>{desk.tell(gauge.why)}</small></p>
                }).collect_view().into_any()
            }}
        </section>
    }
}

/// Everything that can be touched, as lists: for keys, for screen readers, and for who knows the name.
#[component]
fn All(bench: Bench, touched: RwSignal<Option<Touched>>) -> impl IntoView {
    let desk = Desk::here();
    let (valves, ports, spaces) = bench.list.with_value(|list| {
        let valves: Vec<(String, String)> =
            list.valves.iter().map(|valve| (valve.id.clone(), valve.name.clone())).collect();
        let ports: Vec<(String, String)> =
            list.ports.iter().map(|port| (port.id.clone(), port.name.clone())).collect();
        let spaces: Vec<(String, String)> =
            list.spaces.iter().map(|space| (space.id.clone(), space.name.clone())).collect();
        (valves, ports, spaces)
    });
    let rig = ["low-hand-valve", "high-hand-valve", "recovery-machine", "vacuum-pump", "nitrogen-regulator"];
    let rig = rig.map(|id| (id.to_owned(), id.replace('-', " "))).to_vec();
    view! {
        <Names title=Word::Valves names=valves then=move |id| touched.set(Some(Touched::Valve(id)))/>
        <Names title=Word::Ports names=ports then=move |id| touched.set(Some(Touched::Port(id)))/>
        <Names title=Word::Spaces names=spaces then=move |id| touched.set(Some(Touched::Space(id)))/>
        <Names title=Word::Rig names=rig then=move |id| touched.set(Some(Touched::Valve(id)))/>
        <OtherHands bench/>
        <button class="quiet" on:click=move |_| bench.act(if bench.frame.get_untracked().locked_out { "restore power" } else { "lock out" })>
            {move || desk.say(if bench.frame.get().locked_out { Word::RestorePower } else { Word::LockOut })}
        </button>
    }
}

#[component]
fn Names(title: Word, names: Vec<(String, String)>, then: impl Fn(String) + Copy + 'static) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <details class="names">
            <summary>{move || desk.say(title)}" ("{names.len()}")"</summary>
            <div class="row">
                {names.into_iter().map(|(id, name)| view! {
                    <button class="quiet" on:click=move |_| then(id.clone())>{desk.name(name)}</button>
                }).collect_view()}
            </div>
        </details>
    }
}

/// So many actions are listed without being asked for.
const FEW: usize = 6;

#[component]
fn DoneSoFar(bench: Bench, again: Callback<()>) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <Show when=move || !bench.done.get().is_empty()>
            <section>
                <details open=move || bench.done.with(|done| done.len() <= FEW)>
                    <summary>{move || desk.say(Word::Done)}" ("{move || bench.done.with(Vec::len)}")"</summary>
                    <ol class="done">{move || bench.done.get().into_iter().map(|words| view! { <li><code>{words}</code></li> }).collect_view()}</ol>
                </details>
                <div class="row">
                    <button on:click=move |_| bench.undo.run(())>{move || desk.say(Word::Undo)}</button>
                    <button class="quiet" on:click=move |_| again.run(())>{move || desk.say(Word::StartOver)}</button>
                </div>
            </section>
        </Show>
    }
}
