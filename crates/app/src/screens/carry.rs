//! What comes next? A job as it is carried out.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_wire as wire;

use crate::ask::Ask;
use crate::desk::{Card, Desk};
use crate::diagram::{Diagram, Touched};
use crate::hand::{choose_file, chosen_photo, chosen_text, print_page, save_text, value};
use crate::job::{Job, Line, jobs, take_in};
use crate::route::Route;
use crate::words::Word;

/// Jobs under way, and the way in for one from another device.
#[component]
pub fn UnderWay() -> impl IntoView {
    let desk = Desk::here();
    let all = RwSignal::new(Vec::<Line>::new());
    Effect::new(move |_| {
        if desk.ready.get() {
            spawn_local(async move { all.set(jobs(desk).await) });
        }
    });
    let read = move |event: web_sys::Event| {
        spawn_local(async move {
            let Some(text) = chosen_text(&event).await else { return };
            match take_in(desk, text).await {
                Ok(key) => desk.go(&Route::Job(key)),
                Err(error) => desk.trouble.set(Some(error)),
            }
        });
    };
    view! {
        <section>
            <Show when=move || !all.get().is_empty()>
                <h2>{move || desk.say(Word::JobsUnderWay)}</h2>
                <ul class="cards under-way">
                    {move || all.get().into_iter().map(|line| view! {
                        <li><a href=Route::Job(line.key).hash()><strong>{desk.tell(line.say)}</strong><span>{desk.tell(line.stands)}</span></a></li>
                    }).collect_view()}
                </ul>
            </Show>
            <div class="row">
                <button class="quiet" on:click=|_| choose_file("open-job")>{move || desk.say(Word::OpenJob)}</button>
                <input id="open-job" type="file" hidden on:change=read/>
            </div>
        </section>
    }
}

/// Begins to carry a procedure out.
#[component]
pub fn Begin(card: Card, job: String, file: String) -> impl IntoView {
    let desk = Desk::here();
    let kept = StoredValue::new((card.text, file, job));
    view! {
        <button id="carry-out" on:click=move |_| {
            let (circuit, file, job) = kept.get_value();
            Job::open(desk, circuit, file, Some(job));
        }>{move || desk.say(Word::StartCarrying)}</button>
    }
}

/// Begins with an edited procedure.
#[component]
pub fn BeginEdited(circuit: StoredValue<String>, text: RwSignal<String>) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <button on:click=move |_| Job::open(desk, circuit.get_value(), text.get_untracked(), None)>
            {move || desk.say(Word::StartCarrying)}
        </button>
    }
}

/// The job.
#[component]
pub fn Carry(key: String) -> impl IntoView {
    let desk = Desk::here();
    let job = RwSignal::new_local(None::<Option<Job>>);
    Effect::new(move |_| {
        if desk.ready.get() {
            let key = key.clone();
            spawn_local(async move { job.set(Some(Job::load(desk, key).await)) });
        }
    });
    view! {
        {move || match job.get() {
            None => view! { <p class="working">{desk.say(Word::Working)}</p> }.into_any(),
            Some(None) => view! { <p>{desk.say(Word::NotFound)}</p> }.into_any(),
            Some(Some(job)) => view! { <UnderHands job/> }.into_any(),
        }}
    }
}

#[component]
fn UnderHands(job: Job) -> impl IntoView {
    let desk = Desk::here();
    // The step that is looked at; none: the one that comes next.
    let chosen = RwSignal::new(None::<usize>);
    let at = Memo::new(move |_| chosen.get().or(job.state.get().next).unwrap_or(1));
    let frames = RwSignal::new(Vec::<wire::Frame>::new());
    spawn_local(async move {
        let ask = Ask::Replay {
            circuit: job.circuit_file(),
            procedure: job.procedure_file(),
            units: desk.units.get_untracked(),
        };
        if let Ok(replayed) = desk.worker().ask::<wire::Replayed>(&ask).await {
            frames.set(replayed.procedure.frames);
        }
    });
    let frame = Memo::new(move |_| frames.with(|frames| frames.get(at.get()).cloned().unwrap_or_default()));
    let touched = RwSignal::new(None::<Touched>);
    let count = move || job.state.get().steps.len();
    // A comparison inside a tag would end it.
    let is_last = move || at.get() >= count();
    view! {
        <h1>{move || desk.say(Word::WhatComesNext)}</h1>
        <p><strong>{move || desk.tell(job.state.get().job)}</strong>" · "{move || job.state.get().circuit}" · "{move || desk.tell(job.state.get().stands)}</p>
        <label class="who">{move || desk.say(Word::WhoWorks)}
            <input prop:value=move || job.by().get() on:change=move |event| job.by().set(value(&event))/>
        </label>
        <div class="stepwise">
            <Diagram file=job.circuit_file() frame touched lit=Signal::derive(BTreeSet::new)/>
            <div class="side">
                <div class="row">
                    <button class="quiet" aria-label=move || desk.say(Word::Previous) disabled=move || at.get() <= 1 on:click=move |_| chosen.set(Some(at.get_untracked() - 1))>"‹"</button>
                    <p class="count">{move || format!("{} {} {} {}", desk.say(Word::Step), at.get(), desk.say(Word::Of), count())}</p>
                    <button class="quiet" aria-label=move || desk.say(Word::Next) disabled=is_last on:click=move |_| chosen.set(Some(at.get_untracked() + 1))>"›"</button>
                    <Show when=move || chosen.get().is_some()>
                        <button class="quiet" on:click=move |_| chosen.set(None)>{move || desk.say(Word::ToNext)}</button>
                    </Show>
                </div>
                {move || job.state.with(|state| state.steps.get(at.get().checked_sub(1)?).cloned()).map(|step| view! { <AtStep job step chosen/> })}
            </div>
        </div>
        <Cylinder job/>
        <Account job/>
        <Timeline job/>
        <Leave job/>
    }
}

fn step(n: usize) -> wire::JobStep {
    wire::JobStep { n, procedure: None }
}

fn measured(of: &str, typed: String) -> wire::JobMeasured {
    wire::JobMeasured { of: of.into(), typed, value: None }
}

/// A step under the hands: what to do, what the gauges should show and do show, what must be proved.
#[component]
fn AtStep(job: Job, step: wire::JobStepState, chosen: RwSignal<Option<usize>>) -> impl IntoView {
    let desk = Desk::here();
    let n = step.n;
    let over = matches!(step.stands.as_str(), "done" | "skipped");
    let has_hold = step.hold.is_some() && step.proved.is_none();
    let why = RwSignal::new(String::new());
    let proof = RwSignal::new(String::new());
    let photo = move |event: web_sys::Event| {
        spawn_local(async move {
            let Some(photo) = chosen_photo(&event).await else { return };
            desk.put(crate::store::Shelf::Photos, format!("{}/{}", job.key(), photo.hash), photo.address);
            job.add(wire::JobEntry::Photo {
                step: Some(self::step(n)),
                hash: photo.hash,
                size: photo.size,
                mime: photo.mime,
                caption: String::new(),
            });
        });
    };
    let note = RwSignal::new(String::new());
    view! {
        <section class="inspect" class:hold=has_hold>
            <p class="do"><strong class="n">{n}</strong>{desk.tell(step.say.clone())}</p>
            <p class="small">{desk.tell(step.stands.clone())}{step.ended.clone().map(|at| format!(" · {at}"))}</p>
            {step.notes.iter().map(|note| view! { <p class="why">{desk.tell(note.clone())}</p> }).collect_view()}
            {step.bands.iter().map(|band| view! { <Band job n band=band.clone()/> }).collect_view()}
            {step.hold.clone().map(|hold| view! {
                <div class="hold-say">
                    <p><strong>{move || desk.say(Word::HoldPoint)}": "</strong>{desk.tell(hold)}</p>
                    {step.proof.clone().map(|proof| view! { <p>{desk.tell(proof)}</p> })}
                    {has_hold.then(|| view! {
                        <label>{move || desk.say(Word::HowProved)}<input prop:value=move || proof.get() on:input=move |event| proof.set(value(&event))/></label>
                        <div class="row">
                            <button on:click=move |_| job.add(wire::JobEntry::HoldPoint { step: self::step(n), proved: true, say: proof.get_untracked() })>{move || desk.say(Word::Proved)}</button>
                            <button class="quiet" on:click=move |_| job.add(wire::JobEntry::HoldPoint { step: self::step(n), proved: false, say: proof.get_untracked() })>{move || desk.say(Word::PassOver)}</button>
                        </div>
                    })}
                </div>
            })}
            <Timers job n/>
            {move || job.said.get().map(|said| view! { <p class="note warning" role="alert">{desk.tell(said)}</p> })}
            {(!over).then(|| view! {
                <div class="row">
                    <button id="step-done" on:click=move |_| { job.add_then(wire::JobEntry::StepDone { step: self::step(n) }, move |_| chosen.set(None)); }>{move || desk.say(Word::StepIsDone)}</button>
                </div>
                <details>
                    <summary>{move || desk.say(Word::Otherwise)}</summary>
                    <label>{move || desk.say(Word::Reason)}<input prop:value=move || why.get() on:input=move |event| why.set(value(&event))/></label>
                    <div class="row">
                        <button class="quiet" on:click=move |_| job.add(wire::JobEntry::StepHeld { step: self::step(n), why: why.get_untracked() })>{move || desk.say(Word::HoldStep)}</button>
                        <button class="quiet" on:click=move |_| job.add(wire::JobEntry::StepSkipped { step: self::step(n), why: why.get_untracked() })>{move || desk.say(Word::SkipStep)}</button>
                    </div>
                </details>
            })}
            <details id="notes">
                <summary>{move || desk.say(Word::NotesAndPhotos)}</summary>
                <label>{move || desk.say(Word::Note)}<textarea rows="2" prop:value=move || note.get() on:input=move |event| note.set(value(&event))></textarea></label>
                <div class="row">
                    <button class="quiet" on:click=move |_| { job.add(wire::JobEntry::Note { step: Some(self::step(n)), text: note.get_untracked() }); note.set(String::new()); }>{move || desk.say(Word::Save)}</button>
                    <button class="quiet" on:click=|_| choose_file("take-photo")>{move || desk.say(Word::TakePhoto)}</button>
                    <input id="take-photo" type="file" accept="image/*" capture="environment" hidden on:change=photo/>
                </div>
            </details>
        </section>
    }
}

/// A gauge that should show something: what it should, what it does.
#[component]
fn Band(job: Job, n: usize, band: wire::JobBand) -> impl IntoView {
    let desk = Desk::here();
    let typed = RwSignal::new(String::new());
    let reason = RwSignal::new(String::new());
    let place = StoredValue::new(band.gauge.clone());
    let id = format!("reading-{}", band.gauge);
    let take = move || {
        job.add(wire::JobEntry::Reading {
            step: Some(step(n)),
            place: place.get_value(),
            measured: measured("pressure", typed.get_untracked()),
            instrument: None,
        });
        typed.set(String::new());
    };
    let reading = job.state.with_untracked(|state| {
        let of = |reading: &&wire::JobReading| {
            reading.n == Some(n) && reading.place == band.gauge && reading.retracted.is_none()
        };
        state.readings.iter().rev().find(of).cloned()
    });
    view! {
        <form class="band" on:submit=move |event| { event.prevent_default(); take(); }>
            <label for=id.clone()>{desk.name(band.gauge.clone())}" · "{move || desk.say(Word::Expect)}" "<strong>{band.say.clone()}</strong></label>
            <div class="row">
                <input id=id placeholder=move || desk.say(Word::ReadingLike) prop:value=move || typed.get() on:input=move |event| typed.set(value(&event))/>
                <button type="submit" class="quiet">{move || desk.say(Word::Take)}</button>
            </div>
            {reading.map(|reading| {
                let outside = reading.verdict != "inside" && reading.accepted.is_none() && reading.verdict != "no-band";
                let event = StoredValue::new(reading.event.clone());
                view! {
                    <p class=if outside { "note warning" } else { "note good" }>{desk.tell(reading.say.clone())}</p>
                    {outside.then(|| view! {
                        <div class="row">
                            <input aria-label=move || desk.say(Word::Reason) placeholder=move || desk.say(Word::Reason) prop:value=move || reason.get() on:input=move |event| reason.set(value(&event))/>
                            <button type="button" class="quiet" on:click=move |_| job.add(wire::JobEntry::ReadingAccepted { reading: event.get_value(), why: reason.get_untracked() })>{move || desk.say(Word::AcceptAnyway)}</button>
                        </div>
                    })}
                }
            })}
        </form>
    }
}

/// Timers for decay and standing tests.
#[component]
fn Timers(job: Job, n: usize) -> impl IntoView {
    let desk = Desk::here();
    let minutes = RwSignal::new("10".to_owned());
    let pressure = RwSignal::new(String::new());
    let temperature = RwSignal::new(String::new());
    let end = RwSignal::new(String::new());
    let end_temperature = RwSignal::new(String::new());
    let now = RwSignal::new(js_sys::Date::now());
    let tick =
        set_interval_with_handle(move || now.set(js_sys::Date::now()), core::time::Duration::from_secs(1));
    on_cleanup(move || {
        if let Ok(tick) = tick {
            tick.clear()
        }
    });
    let optional = |of: &'static str, typed: String| {
        Some(typed).filter(|typed| !typed.trim().is_empty()).map(|typed| measured(of, typed))
    };
    let begin = move |test: &str| {
        let Ok(minutes) = minutes.get_untracked().trim().parse::<u32>() else {
            return job.said.set(Some(desk.say(Word::WholeMinutes).to_owned()));
        };
        job.add(wire::JobEntry::TimerBegun {
            step: Some(step(n)),
            test: test.into(),
            minutes,
            pressure: optional("pressure", pressure.get_untracked()),
            temperature: optional("temperature", temperature.get_untracked()),
        });
    };
    let running = move || {
        job.state
            .get()
            .timers
            .into_iter()
            .filter(|timer| timer.n == Some(n) && timer.retracted.is_none())
            .collect::<Vec<_>>()
    };
    view! {
        {move || running().into_iter().map(|timer| {
            let id = StoredValue::new(timer.event.clone());
            let begun = js_sys::Date::parse(&timer.begun);
            let open = timer.ended.is_none();
            let left = move || {
                let seconds = f64::from(timer.minutes) * 60.0 - (now.get() - begun) / 1000.0;
                let sign = if seconds < 0.0 { "+" } else { "" };
                let whole = seconds.abs() as u64;
                format!("{sign}{}:{:02}", whole / 60, whole % 60)
            };
            view! {
                <div class=match timer.outcome.as_deref() { Some("good") => "timer note good", Some("bad") => "timer note danger", _ => "timer note" }>
                    <p>{desk.tell(timer.say.clone())}{open.then(|| view! { <strong class="clock">{left}</strong> })}</p>
                    {timer.verdict.clone().map(|verdict| view! { <p class="verdict">{desk.tell(verdict)}</p> })}
                    {open.then(|| view! {
                        <div class="row">
                            <input class="at-end" aria-label=move || desk.say(Word::PressureAtEnd) placeholder=move || desk.say(Word::PressureAtEnd) prop:value=move || end.get() on:input=move |event| end.set(value(&event))/>
                            <input aria-label=move || desk.say(Word::TemperatureAtEnd) placeholder=move || desk.say(Word::TemperatureAtEnd) prop:value=move || end_temperature.get() on:input=move |event| end_temperature.set(value(&event))/>
                            <button class="quiet" on:click=move |_| job.add(wire::JobEntry::TimerEnded { timer: id.get_value(), pressure: optional("pressure", end.get_untracked()), temperature: optional("temperature", end_temperature.get_untracked()) })>{move || desk.say(Word::EndTimer)}</button>
                        </div>
                    })}
                </div>
            }
        }).collect_view()}
        <details id="timers">
            <summary>{move || desk.say(Word::Timer)}</summary>
            <div class="fields">
                <label>{move || desk.say(Word::Minutes)}<input inputmode="numeric" prop:value=move || minutes.get() on:input=move |event| minutes.set(value(&event))/></label>
                <label>{move || desk.say(Word::PressureAtBegin)}<input prop:value=move || pressure.get() on:input=move |event| pressure.set(value(&event))/></label>
                <label>{move || desk.say(Word::TemperatureAtBegin)}<input prop:value=move || temperature.get() on:input=move |event| temperature.set(value(&event))/></label>
            </div>
            <div class="row">
                <button class="quiet" on:click=move |_| begin("decay")>{move || desk.say(Word::DecayTest)}</button>
                <button class="quiet" on:click=move |_| begin("standing")>{move || desk.say(Word::StandingTest)}</button>
                <button class="quiet" on:click=move |_| begin("wait")>{move || desk.say(Word::JustWait)}</button>
            </div>
        </details>
    }
}

/// Weighing a cylinder.
#[component]
fn Cylinder(job: Job) -> impl IntoView {
    let desk = Desk::here();
    let name = RwSignal::new(String::new());
    let mass = RwSignal::new(String::new());
    let weigh = move |_| {
        let n = job.state.get_untracked().next;
        job.add(wire::JobEntry::Weighed {
            step: n.map(step),
            cylinder: name.get_untracked(),
            mass: measured("mass", mass.get_untracked()),
            anew: false,
        });
        mass.set(String::new());
    };
    view! {
        <details class="note">
            <summary>{move || desk.say(Word::WeighCylinder)}</summary>
            <div class="fields">
                <label>{move || desk.say(Word::WhichCylinder)}<input prop:value=move || name.get() on:input=move |event| name.set(value(&event))/></label>
                <label>{move || desk.say(Word::ItWeighs)}<input prop:value=move || mass.get() on:input=move |event| mass.set(value(&event))/></label>
            </div>
            <button class="quiet" on:click=weigh>{move || desk.say(Word::Save)}</button>
        </details>
    }
}

/// Where the refrigerant is, and what is not back yet.
#[component]
fn Account(job: Job) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <section>
            <h2>{move || desk.say(Word::AccountSoFar)}</h2>
            {move || job.state.with(|state| {
                let account = &state.account;
                view! {
                    <dl class="facts">
                        <div><dt>{desk.say(Word::Recovered)}</dt><dd>{desk.mass(account.recovered_kg)}</dd></div>
                        <div><dt>{desk.say(Word::Charged)}</dt><dd>{desk.mass(account.charged_kg)}</dd></div>
                        <div><dt>{desk.say(Word::Lost)}</dt><dd>{desk.mass(account.lost_kg)}</dd></div>
                    </dl>
                    {(!state.not_back.is_empty()).then(|| view! {
                        <h3>{desk.say(Word::Undone)}</h3>
                        <ul>{state.not_back.iter().map(|item| view! { <li>{desk.tell(item.say.clone())}</li> }).collect_view()}</ul>
                    })}
                }
            })}
        </section>
    }
}

/// Everything that was entered.
#[component]
fn Timeline(job: Job) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <details id="entries">
            <summary>{move || desk.say(Word::Entries)}</summary>
            <ol>{move || job.state.get().timeline.into_iter().map(|line| {
                let id = StoredValue::new(line.id.clone());
                let can = line.retracted.is_none() && line.kind != "opened" && line.kind != "retracted";
                view! {
                    <li class:struck=line.retracted.is_some()>{line.at}" "{desk.tell(line.say)}
                        {can.then(|| view! {
                            <button class="quiet" on:click=move |_| {
                                let why = window().prompt_with_message(desk.say(Word::Reason)).ok().flatten();
                                if let Some(why) = why { job.add(wire::JobEntry::Retracted { event: id.get_value(), why }); }
                            }>{move || desk.say(Word::Undo)}</button>
                        })}
                    </li>
                }
            }).collect_view()}</ol>
        </details>
    }
}

/// Taking the job along, printing it, closing it.
#[component]
fn Leave(job: Job) -> impl IntoView {
    let desk = Desk::here();
    let despite = RwSignal::new(String::new());
    let closed = move || job.state.get().closed.is_some();
    view! {
        <section>
            <div class="row">
                <button class="quiet" on:click=move |_| save_text("job.jsonl", &job.file(), "application/jsonl")>{move || desk.say(Word::ExportJob)}</button>
                <button class="quiet" on:click=move |_| if let Some(page) = job.page(desk.units.get_untracked()) { print_page(&desk.page(&page)) }>{move || desk.say(Word::Print)}</button>
            </div>
            <p class="small">{move || desk.say(Word::ExportHint)}</p>
            <Show when=move || !closed()>
                {move || {
                    let open = job.state.get().open;
                    let clear = open.is_empty();
                    view! {
                        {(!clear).then(|| view! {
                            <details>
                                <summary>{desk.say(Word::StillOpen)}" ("{open.len()}")"</summary>
                                <ul>{open.into_iter().map(|item| view! { <li>{desk.tell(item.say)}</li> }).collect_view()}</ul>
                                <label>{desk.say(Word::Reason)}<input prop:value=move || despite.get() on:input=move |event| despite.set(value(&event))/></label>
                            </details>
                        })}
                        <button class="quiet" on:click=move |_| job.add(wire::JobEntry::Closed { despite: Some(despite.get_untracked()).filter(|why| !why.trim().is_empty()) })>{desk.say(Word::CloseJob)}</button>
                    }
                }}
            </Show>
        </section>
    }
}
