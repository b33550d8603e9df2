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
    let ways = Memo::new(move |_| draft.with(|draft| draft.ways.len()));
    let branch = move |_| {
        let ends = draft.with_untracked(|draft| {
            let first = draft.ways.first()?;
            Some((first.get(1)?.piece, first.get(first.len().checked_sub(2)?)?.piece))
        });
        let (from, to) = ends.unwrap_or_default();
        change(draft, core::DraftChange::Branch { from, to });
    };
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
        {move || (0..ways.get()).map(|way| view! { <Way draft way/> }).collect_view()}
        <button class="quiet" on:click=branch>{move || desk.say(Word::AddBranch)}</button>
    }
}

fn change(draft: RwSignal<wire::Draft>, change: core::DraftChange) {
    draft.update(|draft| *draft = core::draft_changed(std::mem::take(draft), &change));
}

/// What a stop shows: the piece itself where it is first met, a hint at it elsewhere.
#[derive(Clone, PartialEq, Eq)]
struct Stop {
    piece: usize,
    side: String,
    table: String,
    kind: String,
    first: bool,
}

fn stops(draft: &wire::Draft, way: usize) -> Vec<Stop> {
    let Some(along) = draft.ways.get(way) else { return Vec::new() };
    let closed = along.len() > 1 && along.first() == along.last();
    let met = |piece: usize, at: usize| {
        let before = draft.ways.iter().take(way).flatten();
        before.chain(along.iter().take(at)).any(|stop| stop.piece == piece)
    };
    let shown = along.len() - usize::from(closed);
    let stop = |(at, stop): (usize, &wire::DraftStop)| {
        let piece = draft.pieces.get(stop.piece)?;
        Some(Stop {
            piece: stop.piece,
            side: stop.side.clone(),
            table: piece.table.clone(),
            kind: piece.kind.clone(),
            first: !met(stop.piece, at),
        })
    };
    along.iter().enumerate().take(shown).filter_map(stop).collect()
}

/// One way along the pipe.
#[component]
fn Way(draft: RwSignal<wire::Draft>, way: usize) -> impl IntoView {
    let desk = Desk::here();
    let shape = Memo::new(move |_| draft.with(|draft| stops(draft, way)));
    let adding = RwSignal::new(None::<usize>);
    let can_add = move |at: usize| way == 0 || at + 1 < shape.with(Vec::len);
    view! {
        <h2>{move || if way == 0 { desk.say(Word::AlongThePipe).to_owned() } else { format!("{} {way}", desk.say(Word::Branch)) }}</h2>
        <Show when=move || way == 0 fallback=move || view! {
            <button class="quiet" on:click=move |_| change(draft, core::DraftChange::TakeWayOut { way })>{move || desk.say(Word::TakeOut)}</button>
        }>
            <p>{move || desk.say(Word::AlongHint)}</p>
        </Show>
        <ol class="pieces">
            {move || shape.get().into_iter().enumerate().map(|(at, stop)| view! {
                <li>
                    {if stop.first {
                        view! { <Piece draft at=stop.piece table=stop.table kind=stop.kind/> }.into_any()
                    } else {
                        view! { <Meets draft way at piece=stop.piece side=stop.side/> }.into_any()
                    }}
                    {can_add(at).then(|| view! {
                        <button class="quiet add" on:click=move |_| adding.set(Some(at + 1))>{move || desk.say(Word::AddHere)}</button>
                    })}
                    {move || (adding.get() == Some(at + 1)).then(|| view! { <Adding draft way at=at + 1 adding/> })}
                </li>
            }).collect_view()}
        </ol>
    }
}

/// What a piece is called in a list to choose from.
fn called(piece: &wire::DraftPiece) -> String {
    let all = [&piece.name, &piece.id, &piece.kind, &piece.table];
    match all.into_iter().find(|name| !name.is_empty()) {
        Some(name) if *name == piece.name => name.clone(),
        Some(plain) => kind_name(plain),
        None => String::new(),
    }
}

/// The pieces to choose one from.
fn choices(
    draft: RwSignal<wire::Draft>,
    of: fn(&wire::DraftPiece) -> bool,
    chosen: Option<usize>,
) -> impl IntoView {
    let all = draft.with(|draft| {
        let kept = draft.pieces.iter().enumerate().filter(|(_, piece)| of(piece));
        kept.map(|(at, piece)| (at, called(piece))).collect::<Vec<_>>()
    });
    let option = move |(at, name): (usize, String)| {
        view! { <option value=at.to_string() selected=Some(at) == chosen>{name}</option> }
    };
    all.into_iter().map(option).collect_view()
}

/// Where a way meets a piece of another one.
#[component]
fn Meets(draft: RwSignal<wire::Draft>, way: usize, at: usize, piece: usize, side: String) -> impl IntoView {
    let desk = Desk::here();
    let stop = move |write: &dyn Fn(&mut wire::DraftStop)| {
        draft.update(|draft| {
            if let Some(stop) = draft.ways.get_mut(way).and_then(|stops| stops.get_mut(at)) {
                write(stop);
            }
        });
    };
    let sided = draft
        .with_untracked(|draft| draft.pieces.get(piece).is_some_and(|piece| piece.kind == "reversing-valve"));
    view! {
        <div class="fields">
            <label>{move || desk.say(Word::MeetsHere)}
                <select on:change=move |event| { let to = value(&event).parse().unwrap_or(piece); stop(&|stop| stop.piece = to); }>
                    {choices(draft, |piece| piece.table != "port", Some(piece))}
                </select>
            </label>
            {sided.then(|| view! {
                <label>{move || desk.say(Word::Side)}
                    <input prop:value=side on:change=move |event| { let typed = value(&event); stop(&|stop| stop.side.clone_from(&typed)); }/>
                </label>
            })}
        </div>
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

/// A piece: its name, place and keys, and what sits on it.
#[component]
fn Piece(draft: RwSignal<wire::Draft>, at: usize, table: String, kind: String) -> impl IntoView {
    let desk = Desk::here();
    let known = core::piece_kinds().into_iter().find(|known| known.table == table && known.kind == kind);
    let sits_on = known.as_ref().is_some_and(|known| known.sits_on);
    let keys = known.map(|known| known.keys).unwrap_or_default();
    let get = move |read: fn(&wire::DraftPiece) -> String| {
        draft.with(|draft| draft.pieces.get(at).map(read).unwrap_or_default())
    };
    let write = move |write: &dyn Fn(&mut wire::DraftPiece)| {
        draft.update(|draft| {
            if let Some(piece) = draft.pieces.get_mut(at) {
                write(piece);
            }
        })
    };
    let stands = matches!(table.as_str(), "part" | "line");
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
            write(&|piece| {
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
    let (named_table, named_kind) = (table.clone(), kind.clone());
    let name = move || {
        let name = get(|piece| piece.name.clone());
        let plain = if named_kind.is_empty() { &named_table } else { &named_kind };
        if name.is_empty() { kind_name(plain) } else { name }
    };
    let on = move || draft.with(|draft| draft.pieces.get(at).and_then(|piece| piece.on));
    view! {
        <details class="piece" open=stands>
            <summary>
                <crate::diagram::Picture table=table.clone() kind=kind.clone()/>
                <strong>{name}</strong>
            </summary>
            <div class="fields">
                <label>{move || desk.say(Word::Name)}
                    <input prop:value=move || get(|piece| piece.name.clone()) on:change=move |event| { let typed = value(&event); write(&|piece| piece.name = typed.clone()); }/>
                </label>
                {stands.then(|| view! {
                    <label>{move || desk.say(Word::Place)}
                        <select on:change=move |event| { let to = value(&event).parse().unwrap_or(0); write(&|piece| piece.place = to); }>
                            {move || draft.with(|draft| draft.places.iter().map(|place| if place.name.is_empty() { kind_name(&place.id) } else { place.name.clone() }).collect::<Vec<_>>()).into_iter().enumerate().map(|(index, name)| view! {
                                <option value=index.to_string() selected=move || draft.with(|draft| draft.pieces.get(at).is_some_and(|piece| piece.place == index))>{if name.is_empty() { format!("{}", index + 1) } else { name }}</option>
                            }).collect_view()}
                        </select>
                    </label>
                })}
                {sits_on.then(|| view! {
                    <label>{move || desk.say(Word::SitsOn)}
                        <select on:change=move |event| { let to = value(&event).parse().ok(); write(&|piece| piece.on = to); }>
                            <option value="">"–"</option>
                            {move || choices(draft, |piece| matches!(piece.table.as_str(), "part" | "line"), on())}
                        </select>
                    </label>
                })}
                {often.into_iter().map(key_field).collect_view()}
                <details class="seldom"><summary>{move || desk.say(Word::More)}</summary><div class="fields">{seldom.into_iter().map(key_field).collect_view()}</div></details>
                <div class="row seldom">
                    {stands.then(|| ON_IT.map(|(table, kind, word)| view! {
                        <button class="quiet" on:click=move |_| change(draft, core::DraftChange::PutOn { piece: at, table: table.into(), kind: kind.into() })>{move || desk.say(word)}</button>
                    }))}
                    <button class="quiet" on:click=move |_| change(draft, core::DraftChange::TakeOut { piece: at })>{move || desk.say(Word::TakeOut)}</button>
                </div>
            </div>
            <Beside draft at/>
        </details>
    }
}

/// What can be put on a part or a line.
const ON_IT: [(&str, &str, Word); 2] =
    [("port", "", Word::PutPortOn), ("valve", "relief-valve", Word::PutReliefOn)];

/// What sits on a piece and is on no way.
#[component]
fn Beside(draft: RwSignal<wire::Draft>, at: usize) -> impl IntoView {
    let shape = Memo::new(move |_| {
        draft.with(|draft| {
            let passed = |piece: usize| draft.ways.iter().flatten().any(|stop| stop.piece == piece);
            let all = draft.pieces.iter().enumerate();
            let on_it = all.filter(|(other, piece)| piece.on == Some(at) && !passed(*other));
            on_it.map(|(other, piece)| (other, piece.table.clone(), piece.kind.clone())).collect::<Vec<_>>()
        })
    });
    view! {
        {move || shape.get().into_iter().map(|(at, table, kind)| view! { <Piece draft at table kind/> }.into_any()).collect_view()}
    }
}

/// Keys that a nameplate or a tape measure gives; the rest waits behind "more".
const OFTEN: [&str; 5] = ["size", "length", "volume", "setting", "fill-limit"];

/// Choosing what comes next on the pipe.
#[component]
fn Adding(
    draft: RwSignal<wire::Draft>,
    way: usize,
    at: usize,
    adding: RwSignal<Option<usize>>,
) -> impl IntoView {
    let add = move |table: String, kind: String| {
        change(draft, core::DraftChange::Insert { way, at, table, kind });
        adding.set(None);
    };
    view! {
        <div class="choose">
            {core::piece_kinds().into_iter().filter(|known| known.table != "port").map(|known| {
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
