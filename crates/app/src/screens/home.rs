//! Which circuit?

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::desk::{Card, Desk, new_key};
use crate::hand::{choose_file, chosen_text};
use crate::route::{Route, Screen};
use crate::words::Word;

/// The list of circuits.
#[component]
pub(crate) fn Home() -> impl IntoView {
    let desk = Desk::here();
    let of = move |example: bool| {
        desk.circuits.get().into_iter().filter(|card| card.example == example).collect::<Vec<_>>()
    };
    let open = move |event: web_sys::Event| {
        spawn_local(async move {
            if let Some(text) = chosen_text(&event).await {
                let key = new_key("own");
                desk.put_circuit(key.clone(), text);
                desk.go(&Route::Circuit(key, Screen::Change));
            }
        });
    };
    view! {
        <h1>{move || desk.say(Word::WhichCircuit)}</h1>
        <super::carry::UnderWay/>
        <section>
            <h2>{move || desk.say(Word::YourCircuits)}</h2>
            <Show when=move || of(false).is_empty()>
                <p>{move || desk.say(Word::NoneYet)}</p>
            </Show>
            <Cards cards=Signal::derive(move || of(false))/>
            <div class="row">
                <a class="button" href=Route::Build.hash()>{move || desk.say(Word::BuildOne)}</a>
                <button class="quiet" on:click=|_| choose_file("open-circuit")>{move || desk.say(Word::OpenFile)}</button>
                <input id="open-circuit" type="file" accept=".toml,text/plain" hidden on:change=open/>
            </div>
        </section>
        <section>
            <h2>{move || desk.say(Word::Examples)}</h2>
            <p>{move || desk.say(Word::Invented)}</p>
            <Cards cards=Signal::derive(move || of(true))/>
        </section>
        <p class="small">{move || desk.say(Word::LocalRules)}</p>
    }
}

#[component]
fn Cards(cards: Signal<Vec<Card>>) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <ul class="cards">
            <For each=move || cards.get() key=|card| (card.key.clone(), card.name.clone()) let:card>
                <li>
                    <a href=Route::Circuit(card.key, Screen::Look).hash()>
                        <strong>{card.name}</strong>
                        <span>{card.refrigerant}</span>
                        <small>{desk.tell(card.note)}</small>
                    </a>
                </li>
            </For>
        </ul>
    }
}
