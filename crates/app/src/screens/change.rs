//! What is there? A circuit built piece by piece, or written as a file, with its problems where they are.

use leptos::prelude::*;
use stemwise_answer as core;
use stemwise_wire as wire;

use crate::desk::{Card, Desk, new_key};
use crate::hand::{save_text, value};
use crate::route::{Route, Screen};
use crate::words::Word;

/// A file that can't be used, on a screen that needs it.
#[component]
pub(crate) fn Broken(error: core::Error) -> impl IntoView {
    view! { <super::plan::Failed failure=error.failure().error/> }
}

/// The problems of a file, each with its line.
#[component]
pub(crate) fn Problems(problems: Vec<wire::Problem>) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <ul class="problems">
            {problems.into_iter().map(|problem| {
                let kind = if problem.severity == wire::Severity::Error { "danger" } else { "warning" };
                view! {
                    <li class=format!("note {kind}")>
                        <p>{format!("{}:{} ", problem.line, problem.column)}{desk.tell(problem.say)}</p>
                        <pre>{problem.excerpt}</pre>
                        <p>{desk.tell(problem.hint)}</p>
                    </li>
                }
            }).collect_view()}
        </ul>
    }
}

/// A circuit that exists: by its pieces where it is one loop, and as a file.
#[component]
pub(crate) fn Change(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let draft = core::draft_of(&card.text);
    let as_file = RwSignal::new(draft.is_none());
    let text = RwSignal::new(card.text.clone());
    let (has_draft, example) = (draft.is_some(), card.example);
    let draft = RwSignal::new(draft.unwrap_or_default());
    let key = StoredValue::new(card.key.clone());
    // An example is changed in a copy.
    let save = move || {
        let key = if example { new_key("own") } else { key.get_value() };
        desk.put_circuit(key.clone(), text.get_untracked());
        desk.go(&Route::Circuit(key, Screen::Look));
    };
    let remove = move |_| {
        let sure = window().confirm_with_message(desk.say(Word::DeleteSure)).unwrap_or(false);
        if sure {
            desk.remove_circuit(key.get_value());
            desk.go(&Route::Home);
        }
    };
    view! {
        <h1>{move || desk.say(Word::WhatIsThere)}</h1>
        <Show when=move || has_draft>
            <div class="row">
                <button class="pick" aria-pressed=move || if as_file.get() { "false" } else { "true" } on:click=move |_| {
                    if let Some(read) = core::draft_of(&text.get_untracked()) { draft.set(read); as_file.set(false); }
                }>{move || desk.say(Word::ByPieces)}</button>
                <button class="pick" aria-pressed=move || if as_file.get() { "true" } else { "false" } on:click=move |_| as_file.set(true)>{move || desk.say(Word::AsFile)}</button>
            </div>
        </Show>
        <Show when=move || as_file.get() fallback=move || view! { <Pieces draft text/> }>
            <textarea class="file" aria-label=move || desk.say(Word::AsFile) rows="24" spellcheck="false" prop:value=move || text.get() on:input=move |event| text.set(value(&event))></textarea>
        </Show>
        <Verdict text/>
        <div class="row">
            <button on:click=move |_| save()>{move || desk.say(if example { Word::SaveCopy } else { Word::Save })}</button>
            <button class="quiet" on:click=move |_| save_text("circuit.toml", &text.get_untracked(), "text/plain")>{move || desk.say(Word::SaveFile)}</button>
            <Show when=move || !example><button class="quiet" on:click=remove>{move || desk.say(Word::Delete)}</button></Show>
        </div>
    }
}

/// A new circuit.
#[component]
pub(crate) fn Build() -> impl IntoView {
    let desk = Desk::here();
    let draft = RwSignal::new(core::first_draft());
    let text = RwSignal::new(String::new());
    let save = move |_| {
        let key = new_key("own");
        desk.put_circuit(key.clone(), text.get_untracked());
        desk.go(&Route::Circuit(key, Screen::Look));
    };
    view! {
        <h1>{move || desk.say(Word::WhatIsThere)}</h1>
        <Pieces draft text/>
        <Verdict text/>
        <div class="row"><button on:click=save>{move || desk.say(Word::Save)}</button></div>
    }
}

/// What the check says of the file.
#[component]
fn Verdict(text: RwSignal<String>) -> impl IntoView {
    let desk = Desk::here();
    let check = Memo::new(move |_| core::check(text.get().as_bytes()));
    view! {
        <section aria-live="polite">
            {move || {
                let check = check.get();
                view! {
                    <p class=if check.ok { "note good" } else { "note danger" }>
                        {desk.say(if check.ok { Word::FileIsGood } else { Word::FileIsNot })}
                    </p>
                    <Problems problems=check.problems/>
                }
            }}
        </section>
    }
}

/// The top of the file: key, what it is called, an example of what to type.
const TOP: [(&str, Word, &str); 8] = [
    ("name", Word::Name, "Walk-in cooler"),
    ("refrigerant", Word::Refrigerant, "R-134a"),
    ("charge", Word::Charge, "4.6 kg"),
    ("capacity", Word::Capacity, "3.5 kW"),
    ("altitude", Word::Altitude, "150 m"),
    ("design.high", Word::DesignHigh, "20 bar"),
    ("design.low", Word::DesignLow, "12 bar"),
    ("note", Word::Remark, ""),
];

/// The pieces in the order of the pipe; the file follows every change.
#[component]
fn Pieces(draft: RwSignal<wire::Draft>, text: RwSignal<String>) -> impl IntoView {
    let desk = Desk::here();
    Effect::new(move |_| text.set(draft.with(core::draft_file)));
    let shape = Memo::new(move |_| {
        draft.with(|draft| {
            draft.pieces.iter().map(|piece| (piece.table.clone(), piece.kind.clone())).collect::<Vec<_>>()
        })
    });
    let adding = RwSignal::new(None::<usize>);
    view! {
        <fieldset class="nameplate">
            <legend>{move || desk.say(Word::Nameplate)}</legend>
            {TOP.map(|(key, word, like)| view! {
                <label>{move || desk.say(word)}
                    <input placeholder=like prop:value=move || draft.with(|draft| draft.top.get(key).cloned().unwrap_or_default())
                        on:change=move |event| draft.update(|draft| { draft.top.insert(key.into(), value(&event)); })/>
                </label>
            })}
        </fieldset>
        <Places draft/>
        <h2>{move || desk.say(Word::AlongThePipe)}</h2>
        <p>{move || desk.say(Word::AlongHint)}</p>
        <ol class="pieces">
            {move || shape.get().into_iter().enumerate().map(|(at, (table, kind))| view! {
                <li>
                    <Piece draft at table kind/>
                    <button class="quiet add" on:click=move |_| adding.set(Some(at + 1))>{move || desk.say(Word::AddHere)}</button>
                    {move || (adding.get() == Some(at + 1)).then(|| view! { <Adding draft at=at + 1 adding/> })}
                </li>
            }).collect_view()}
        </ol>
    }
}

#[component]
fn Places(draft: RwSignal<wire::Draft>) -> impl IntoView {
    let desk = Desk::here();
    let count = Memo::new(move |_| draft.with(|draft| draft.places.len()));
    let field = move |at: usize,
                      word: Word,
                      like: &'static str,
                      get: fn(&mut wire::DraftPlace) -> &mut String| {
        view! {
            <label>{move || desk.say(word)}
                <input placeholder=like
                    prop:value=move || draft.with(|draft| draft.places.get(at).cloned().map(|mut place| get(&mut place).clone()).unwrap_or_default())
                    on:change=move |event| draft.update(|draft| if let Some(place) = draft.places.get_mut(at) { *get(place) = value(&event); })/>
            </label>
        }
    };
    view! {
        <fieldset class="nameplate">
            <legend>{move || desk.say(Word::Places)}</legend>
            {move || (0..count.get()).map(|at| view! {
                <div class="place">
                    {field(at, Word::Name, if at == 0 { "plant room" } else { "cold room" }, |place| &mut place.name)}
                    {field(at, Word::UsualTemperature, if at == 0 { "28 C" } else { "3 C" }, |place| &mut place.temperature)}
                    {field(at, Word::Coldest, if at == 0 { "10 C" } else { "0 C" }, |place| &mut place.coldest)}
                    {field(at, Word::Hottest, if at == 0 { "43 C" } else { "30 C" }, |place| &mut place.hottest)}
                </div>
            }).collect_view()}
            <button class="quiet" on:click=move |_| draft.update(|draft| draft.places.push(wire::DraftPlace::default()))>{move || desk.say(Word::AddPlace)}</button>
        </fieldset>
    }
}

fn kind_name(kind: &str) -> String {
    kind.replace('-', " ")
}

/// A piece: its name, place and keys.
#[component]
fn Piece(draft: RwSignal<wire::Draft>, at: usize, table: String, kind: String) -> impl IntoView {
    let desk = Desk::here();
    let known = core::piece_kinds().into_iter().find(|known| known.table == table && known.kind == kind);
    let keys = known.map(|known| known.keys).unwrap_or_default();
    let get = move |read: fn(&wire::DraftPiece) -> String| {
        draft.with(|draft| draft.pieces.get(at).map(read).unwrap_or_default())
    };
    let change = move |write: &dyn Fn(&mut wire::DraftPiece)| {
        draft.update(|draft| {
            if let Some(piece) = draft.pieces.get_mut(at) {
                write(piece);
            }
        })
    };
    let valve = table == "valve";
    let (often, seldom): (Vec<_>, Vec<_>) =
        keys.into_iter().partition(|key| key.required || OFTEN.contains(&key.name.as_str()));
    let key_field = move |key: wire::PieceKey| {
        let name = StoredValue::new(key.name.clone());
        let current = move || {
            draft.with(|draft| {
                draft
                    .pieces
                    .get(at)
                    .and_then(|piece| piece.keys.get(&name.get_value()).cloned())
                    .unwrap_or_default()
            })
        };
        let set = move |event: web_sys::Event| {
            let typed = value(&event);
            change(&|piece| {
                piece.keys.insert(name.get_value(), typed.clone());
            });
        };
        view! {
            <label title=key.doc.clone()>{kind_name(&key.name)}
                {if key.words.is_empty() {
                    view! { <input prop:value=current on:change=set/> }.into_any()
                } else {
                    view! { <select on:change=set prop:value=current>
                        <option value="">"–"</option>
                        {key.words.into_iter().map(|word| view! { <option value=word.clone() selected=word == current()>{word.clone()}</option> }).collect_view()}
                    </select> }.into_any()
                }}
            </label>
        }
    };
    view! {
        <details class="piece" open=!valve>
            <summary>
                <crate::diagram::Picture table=table.clone() kind=kind.clone()/>
                <strong>{move || { let name = get(|piece| piece.name.clone()); if name.is_empty() { kind_name(&kind) } else { name } }}</strong>
            </summary>
            <div class="fields">
                <label>{move || desk.say(Word::Name)}
                    <input prop:value=move || get(|piece| piece.name.clone()) on:change=move |event| { let typed = value(&event); change(&|piece| piece.name = typed.clone()); }/>
                </label>
                {(!valve).then(|| view! {
                    <label>{move || desk.say(Word::Place)}
                        <select on:change=move |event| { let to = value(&event).parse().unwrap_or(0); change(&|piece| piece.place = to); }>
                            {move || draft.with(|draft| draft.places.iter().map(|place| place.name.clone()).collect::<Vec<_>>()).into_iter().enumerate().map(|(index, name)| view! {
                                <option value=index.to_string() selected=move || draft.with(|draft| draft.pieces.get(at).is_some_and(|piece| piece.place == index))>{if name.is_empty() { format!("{}", index + 1) } else { name }}</option>
                            }).collect_view()}
                        </select>
                    </label>
                    <label class="check"><input type="checkbox" prop:checked=move || draft.with(|draft| draft.pieces.get(at).is_some_and(|piece| piece.access))
                        on:change=move |event| { let on = event_target_checked(&event); change(&|piece| piece.access = on); }/>{move || desk.say(Word::AccessPort)}</label>
                })}
                {often.into_iter().map(key_field).collect_view()}
                <details class="seldom"><summary>{move || desk.say(Word::More)}</summary><div class="fields">{seldom.into_iter().map(key_field).collect_view()}</div></details>
                <button class="quiet" on:click=move |_| draft.update(|draft| if at < draft.pieces.len() && draft.pieces.len() > 1 { draft.pieces.remove(at); })>{move || desk.say(Word::TakeOut)}</button>
            </div>
        </details>
    }
}

/// Keys that a nameplate or a tape measure gives; the rest waits behind "more".
const OFTEN: [&str; 6] = ["size", "length", "volume", "on", "setting", "fill-limit"];

/// Choosing what comes next on the pipe.
#[component]
fn Adding(draft: RwSignal<wire::Draft>, at: usize, adding: RwSignal<Option<usize>>) -> impl IntoView {
    let add = move |table: String, kind: String| {
        draft.update(|draft| {
            let place =
                at.checked_sub(1).and_then(|before| draft.pieces.get(before)).map_or(0, |piece| piece.place);
            let at = at.min(draft.pieces.len());
            draft.pieces.insert(at, wire::DraftPiece { table, kind, place, ..wire::DraftPiece::default() });
        });
        adding.set(None);
    };
    view! {
        <div class="choose">
            {core::piece_kinds().into_iter().map(|known| {
                let (table, kind) = (known.table.clone(), known.kind.clone());
                view! {
                    <button class="quiet" on:click=move |_| add(table.clone(), kind.clone())>
                        <crate::diagram::Picture table=known.table.clone() kind=known.kind.clone()/>
                        {format!("{}{}", kind_name(&known.kind), if known.table == "line" { " line" } else { "" })}
                    </button>
                }
            }).collect_view()}
        </div>
    }
}
