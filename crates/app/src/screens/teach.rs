//! Who knows? A procedure on the wall, questions, drills.

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_answer::{Motion, QuestionAsk, Trial, drill, drill_file, drill_score, drills, grade, questions};
use stemwise_wire as wire;

use super::look::{Bench, OnTheBench};
use super::plan::{Failed, Stepwise};
use super::rehearse::{InMotion, Moved};
use crate::ask::Ask;
use crate::desk::{Card, Desk};
use crate::hand::{choose_file, chosen_text, save_text, value};
use crate::words::Word;

/// What is taught with.
#[derive(Clone, Copy, PartialEq, Eq)]
enum With {
    Questions,
    Drills,
    Wall,
}

/// Teaching on a circuit.
#[component]
pub fn Teach(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let with = RwSignal::new(With::Questions);
    let pick = move |it: With, word: Word| {
        view! {
            <button class="pick" aria-pressed=move || if with.get() == it { "true" } else { "false" } on:click=move |_| with.set(it)>{move || desk.say(word)}</button>
        }
    };
    let card = StoredValue::new(card);
    view! {
        <h1>{move || desk.say(Word::WhoKnows)}</h1>
        <div class="row no-print">
            {pick(With::Questions, Word::Questions)}
            {pick(With::Drills, Word::Drills)}
            {pick(With::Wall, Word::OnTheWall)}
        </div>
        {move || match with.get() {
            With::Questions => view! { <Questions card=card.get_value()/> }.into_any(),
            With::Drills => view! { <Drills/> }.into_any(),
            With::Wall => view! { <Wall card=card.get_value()/> }.into_any(),
        }}
    }
}

/// Questions made from the circuit, one at a time.
#[component]
fn Questions(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let text = StoredValue::new(card.text);
    let seed = RwSignal::new(u64::from((js_sys::Math::random() * 1e6) as u32));
    let at = RwSignal::new(0_usize);
    let score = RwSignal::new((0_usize, 0_usize));
    let made = Memo::new(move |_| {
        let ask =
            QuestionAsk { kinds: Vec::new(), count: 10, seed: seed.get(), units: desk.units.get().system() };
        text.with_value(|text| questions(text.as_bytes(), &ask)).map_err(|error| error.failure().error)
    });
    let again = move |_| {
        seed.update(|seed| *seed += 1);
        at.set(0);
        score.set((0, 0));
    };
    view! {
        <p class="small">{move || format!("{}: {}", desk.say(Word::Seed), seed.get())}</p>
        {move || match made.get() {
            Err(failure) => view! { <Failed failure/> }.into_any(),
            Ok(made) => {
                let count = made.questions.len();
                match made.questions.get(at.get()).cloned() {
                    Some(question) => view! {
                        <p class="count">{format!("{} {} {count}", at.get() + 1, desk.say(Word::Of))}</p>
                        <OneQuestion question atmosphere_pa=made.atmosphere_pa score next=Callback::new(move |()| at.update(|at| *at += 1))/>
                    }.into_any(),
                    None => view! {
                        <p class="note good">{format!("{} {} {}", score.get().0, desk.say(Word::Of), score.get().1)}</p>
                        <button on:click=again>{desk.say(Word::OtherQuestions)}</button>
                    }.into_any(),
                }
            }
        }}
    }
}

#[component]
fn OneQuestion(
    question: wire::QuestionTold,
    atmosphere_pa: f64,
    score: RwSignal<(usize, usize)>,
    next: Callback<()>,
) -> impl IntoView {
    let desk = Desk::here();
    let graded = RwSignal::new(None::<Result<wire::GradeAnswer, String>>);
    let typed = RwSignal::new(String::new());
    let kept = StoredValue::new(question.clone());
    let answer = Callback::new(move |said: String| {
        // The first answer counts.
        if matches!(graded.get_untracked(), Some(Ok(_))) {
            return;
        }
        let outcome = kept
            .with_value(|question| grade(question, &said, atmosphere_pa))
            .map_err(|error| error.to_string());
        if let Ok(outcome) = &outcome {
            score.update(|(right, all)| {
                *right += usize::from(outcome.right);
                *all += 1;
            });
        }
        graded.set(Some(outcome));
    });
    let scene = question.scene;
    let is_number = question.number.is_some();
    view! {
        <section class="question">
            <h2>{desk.tell(question.ask)}</h2>
            <ul class="scene">
                <li>{move || desk.say(if scene.running { Word::SystemRuns } else { Word::SystemStands })}</li>
                {scene.turned.into_iter().map(|turned| view! { <li>{desk.name(turned.stem)}": "<strong>{desk.name(turned.position)}</strong></li> }).collect_view()}
                {scene.hoses.into_iter().map(|port| view! { <li>{move || desk.say(Word::HoseOn)}": "{desk.name(port)}</li> }).collect_view()}
                {scene.given.into_iter().map(|given| view! { <li>{desk.tell(given.name)}": "<strong>{desk.tell(given.value)}</strong></li> }).collect_view()}
            </ul>
            {(!scene.steps.is_empty()).then(|| view! { <ol>{scene.steps.into_iter().map(|step| view! { <li>{desk.tell(step)}</li> }).collect_view()}</ol> })}
            <div class="choices">
                {question.choices.into_iter().enumerate().map(|(at, choice)| {
                    let class = move || match graded.get() {
                        Some(Ok(_)) if choice.right => "choice right",
                        _ => "choice",
                    };
                    view! { <button class=class on:click=move |_| answer.run((at + 1).to_string())>{desk.tell(choice.say)}</button> }
                }).collect_view()}
            </div>
            {is_number.then(|| view! {
                <form class="row" on:submit=move |event| { event.prevent_default(); answer.run(typed.get_untracked()); }>
                    <input aria-label=move || desk.say(Word::YourAnswer) placeholder=move || desk.say(Word::ReadingLike) prop:value=move || typed.get() on:input=move |event| typed.set(value(&event))/>
                    <button type="submit">{move || desk.say(Word::Answer)}</button>
                </form>
            })}
            <div aria-live="polite">
                {move || graded.get().map(|graded| match graded {
                    Err(said) => view! { <p class="note warning">{desk.tell(said)}</p> }.into_any(),
                    Ok(graded) => view! {
                        <div class=if graded.right { "note good" } else { "note danger" }>
                            <p><strong>{desk.say(if graded.right { Word::Right } else { Word::Wrong })}</strong>" "{desk.tell(graded.answer)}</p>
                            {graded.mistake.map(|mistake| view! { <p>{desk.tell(mistake)}</p> })}
                            <p>{desk.tell(graded.why)}</p>
                        </div>
                        <button on:click=move |_| next.run(())>{desk.say(Word::Next)}</button>
                    }.into_any(),
                })}
            </div>
        </section>
    }
}

/// Drills: those that are built in, and one that was handed out.
#[component]
fn Drills() -> impl IntoView {
    let desk = Desk::here();
    let chosen = RwSignal::new(None::<String>);
    let open = move |event: web_sys::Event| {
        spawn_local(async move {
            if let Some(text) = chosen_text(&event).await {
                chosen.set(Some(text));
            }
        });
    };
    view! {
        <Show when=move || chosen.get().is_none()>
            <ul class="cards">
                {drills().drills.into_iter().map(|entry| view! {
                    <li><button class="card" data-drill=entry.id.clone() on:click=move |_| chosen.set(drill_file(&entry.id).ok().map(str::to_owned))>
                        <strong>{desk.tell(entry.name)}</strong><span>{entry.circuit}</span><small>{desk.tell(entry.goal)}</small>
                    </button></li>
                }).collect_view()}
            </ul>
            <button class="quiet" on:click=|_| choose_file("open-drill")>{move || desk.say(Word::OpenDrill)}</button>
            <input id="open-drill" type="file" accept=".toml,text/plain" hidden on:change=open/>
        </Show>
        {move || chosen.get().map(|file| view! {
            <button class="quiet" on:click=move |_| chosen.set(None)>{desk.say(Word::Back)}</button>
            <OneDrill file/>
        })}
    }
}

/// A drill under one's hands, scored against the best known way.
#[component]
fn OneDrill(file: String) -> impl IntoView {
    let desk = Desk::here();
    let told = match drill(file.as_bytes(), Some(desk.units.get_untracked().system())) {
        Ok(told) => told,
        Err(error) => return view! { <super::change::Broken error/> }.into_any(),
    };
    let text = StoredValue::new(file);
    let asks = !told.questions.is_empty();
    let hands = (!asks).then(|| view! { <HandsOn drill=text circuit=told.circuit_file.clone()/> });
    let at = RwSignal::new(0_usize);
    let score = RwSignal::new((0_usize, 0_usize));
    let list = StoredValue::new(told.questions);
    view! {
        <section class="question">
            <h2>{desk.tell(told.name)}</h2>
            <p>{desk.tell(told.brief)}</p>
            <button class="quiet" on:click=move |_| save_text("drill.toml", &text.get_value(), "text/plain")>{move || desk.say(Word::HandOut)}</button>
        </section>
        {hands}
        {move || asks.then(|| match list.with_value(|list| list.get(at.get()).cloned()) {
            Some(question) => view! { <OneQuestion question atmosphere_pa=told.atmosphere_pa score next=Callback::new(move |()| at.update(|at| *at += 1))/> }.into_any(),
            None => view! { <p class="note good">{format!("{} {} {}", score.get().0, desk.say(Word::Of), score.get().1)}</p> }.into_any(),
        })}
    }
    .into_any()
}

/// The two ways to do a drill: with everything settling at once, or by the clock.
#[component]
fn HandsOn(drill: StoredValue<String>, circuit: String) -> impl IntoView {
    let desk = Desk::here();
    let clock = RwSignal::new(false);
    let circuit = StoredValue::new(circuit);
    let pick = move |by_clock: bool, word: Word| {
        view! {
            <button class="pick" aria-pressed=move || if clock.get() == by_clock { "true" } else { "false" } on:click=move |_| clock.set(by_clock)>{move || desk.say(word)}</button>
        }
    };
    view! {
        <div class="row no-print">
            {pick(false, Word::AtRest)}
            {pick(true, Word::ByTheClock)}
        </div>
        {move || if clock.get() {
            view! { <ByTheClock drill circuit/> }.into_any()
        } else {
            view! { <Hands drill circuit=circuit.get_value()/> }.into_any()
        }}
    }
}

/// The circuit of a drill in motion, with its faults.
#[component]
fn ByTheClock(drill: StoredValue<String>, circuit: StoredValue<String>) -> impl IntoView {
    let start = RwSignal::new(0_u32);
    let again = Callback::new(move |()| start.update(|count| *count += 1));
    view! {
        {move || {
            start.track();
            let motion = drill.with_value(|drill| Motion::of_drill(drill.as_bytes()));
            let list = circuit.with_value(|file| stemwise_answer::list(file.as_bytes()));
            match (motion, list) {
                (Ok(motion), Ok(list)) => {
                    view! { <InMotion motion=Moved(motion) list file=circuit.get_value() drill=(drill, again)/> }.into_any()
                }
                (Err(error), _) | (_, Err(error)) => view! { <super::change::Broken error/> }.into_any(),
            }
        }}
    }
}

/// The circuit of a drill under one's hands.
#[component]
fn Hands(drill: StoredValue<String>, circuit: String) -> impl IntoView {
    let desk = Desk::here();
    let start = RwSignal::new(0_u32);
    let circuit = StoredValue::new(circuit);
    view! {
        {move || {
            start.track();
            let trial = drill.with_value(|drill| Trial::of_drill(drill.as_bytes()));
            let list = circuit.with_value(|file| stemwise_answer::list(file.as_bytes()));
            let (trial, list) = match (trial, list) {
                (Ok(trial), Ok(list)) => (StoredValue::new_local(trial), list),
                (Err(error), _) | (_, Err(error)) => return view! { <super::change::Broken error/> }.into_any(),
            };
            let bench = Bench::of(desk, trial, list, circuit);
            let scored = RwSignal::new(None::<Result<wire::DrillScore, wire::Failure>>);
            let score = move |_| {
                let run = trial.with_value(Trial::procedure);
                let units = Some(desk.units.get_untracked().system());
                let found = drill.with_value(|drill| drill_score(drill.as_bytes(), run.as_bytes(), units));
                scored.set(Some(found.map_err(|error| error.failure().error)));
            };
            view! {
                <OnTheBench bench again=Callback::new(move |()| start.update(|count| *count += 1))/>
                <button id="score" on:click=score>{move || desk.say(Word::ScoreIt)}</button>
                {move || scored.get().map(|scored| match scored {
                    Err(failure) => view! { <Failed failure/> }.into_any(),
                    Ok(scored) => view! { <Marks scored/> }.into_any(),
                })}
            }.into_any()
        }}
    }
}

/// What a run is worth, and where it went wrong.
#[component]
pub(super) fn Marks(scored: wire::DrillScore) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <section class=if scored.passed { "marks note good" } else { "marks note warning" } aria-live="polite">
            <h2>{format!("{} / 100", scored.marks)}</h2>
            <ul>{scored.heads.into_iter().map(|head| view! { <li>{format!("{} / {}: ", head.got, head.of)}{desk.tell(head.say)}</li> }).collect_view()}</ul>
            {scored.missing.into_iter().map(|missing| view! { <p>{desk.tell(missing)}</p> }).collect_view()}
            {scored.fork.map(|fork| view! {
                <h3>{move || desk.say(Word::WhereItWentWrong)}</h3>
                <p>{desk.tell(fork.why)}</p>
                <p>{fork.yours.join("; ")}" → "{fork.best.join("; ")}</p>
            })}
            {scored.happened.into_iter().map(|happened| view! { <p class="caution">{desk.tell(happened.say)}{format!(" (−{})", happened.marks)}</p> }).collect_view()}
            <ol>{scored.trace.into_iter().map(|action| view! {
                <li class:off=!action.on_best><code>{action.action}</code>{action.fired.into_iter().map(|fired| view! { <p class="caution">{desk.tell(fired)}</p> }).collect_view()}</li>
            }).collect_view()}</ol>
        </section>
    }
}

/// A procedure for the wall: large, one step at a time.
#[component]
fn Wall(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let jobs = stemwise_answer::list(card.text.as_bytes()).map(|list| list.jobs).unwrap_or_default();
    let job = RwSignal::new(jobs.first().cloned().unwrap_or_default());
    let found = RwSignal::new(None::<Result<wire::WalkedThrough, wire::Failure>>);
    let card = StoredValue::new(card);
    let show = move |_| {
        let circuit = card.with_value(|card| card.text.clone());
        let ask = Ask::Plan {
            circuit,
            job: job.get_untracked(),
            without: Vec::new(),
            cost: None,
            units: desk.units.get_untracked(),
        };
        spawn_local(async move { found.set(Some(desk.worker().ask(&ask).await)) });
    };
    view! {
        <div class="ask">
            <label>{move || desk.say(Word::WhichJob)}
                <select on:change=move |event| job.set(value(&event))>
                    {jobs.into_iter().map(|name| view! { <option value=name.clone()>{desk.phrase(name.clone())}</option> }).collect_view()}
                </select>
            </label>
            <button on:click=show>{move || desk.say(Word::ShowIt)}</button>
        </div>
        {move || found.get().map(|found| match found {
            Err(failure) => view! { <Failed failure/> }.into_any(),
            Ok(wire::WalkedThrough { plan: wire::PlanAnswer::Found(plan), procedure: Some(walk) }) => view! {
                <div id="wall" class="wall">
                    <Stepwise plan=StoredValue::new(*plan) walk=StoredValue::new(walk) card/>
                    <button class="quiet" on:click=|_| fill_screen()>{desk.say(Word::FullScreen)}</button>
                </div>
            }.into_any(),
            Ok(wire::WalkedThrough { plan: wire::PlanAnswer::None(none), .. }) => view! {
                <div class="note warning">{none.because.into_iter().map(|because| view! { <p>{desk.tell(because.say)}</p> }).collect_view()}</div>
            }.into_any(),
            Ok(_) => ().into_any(),
        })}
    }
}

fn fill_screen() {
    if let Some(wall) = document().get_element_by_id("wall") {
        // A browser that can't fill the screen shows it as it is.
        let _ = wall.request_fullscreen();
    }
}
