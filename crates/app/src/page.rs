//! The page around the screens: head, bar, what concerns all of them.

use leptos::prelude::*;
use wasm_bindgen::prelude::*;

use crate::desk::{Desk, Theme};
use crate::route::{Route, Screen};
use crate::screens;
use crate::words::{Language, Word};

/// The whole page.
#[component]
pub(crate) fn Page() -> impl IntoView {
    let desk = Desk::new(Route::read(&hash()));
    provide_context(desk);
    let device = window().navigator().language().unwrap_or_default();
    desk.speak(Language::from_tag(&device));
    listen("hashchange", move || desk.route.set(Route::read(&hash())));
    listen("stemwise-update", move || desk.update.set(true));
    desk.lay_out();
    Effect::new(move |_| dress(desk));
    view! {
        <a class="skip" href="#content" on:click=move |event| { event.prevent_default(); focus("content"); }>
            {move || desk.say(Word::SkipToContent)}
        </a>
        <Head/>
        <Troubles/>
        <main id="content" tabindex="-1">
            {move || match desk.route.get() {
                Route::Home => screens::home::Home().into_any(),
                Route::Settings => screens::settings::SettingsScreen().into_any(),
                Route::Build => screens::change::Build().into_any(),
                Route::Circuit(key, screen) => view! { <OfCircuit key screen/> }.into_any(),
                Route::Job(key) => screens::carry::Carry(screens::carry::CarryProps { key }).into_any(),
                Route::Unknown => view! { <Nothing/> }.into_any(),
            }}
        </main>
        <Bar/>
    }
}

fn hash() -> String {
    window().location().hash().unwrap_or_default()
}

fn focus(id: &str) {
    let element =
        document().get_element_by_id(id).and_then(|found| found.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(element) = element {
        // An element that can't take it stays as it is.
        let _ = element.focus();
    }
}

/// Hears an event of the window for as long as the page lives.
fn listen(name: &str, then: impl FnMut() + 'static) {
    let hear = Closure::<dyn FnMut()>::new(then);
    // The window takes every listener.
    let _ = window().add_event_listener_with_callback(name, hear.as_ref().unchecked_ref());
    hear.forget();
}

/// Language and theme on the root element.
fn dress(desk: Desk) {
    let Some(root) = document().document_element() else { return };
    let theme = match desk.theme.get() {
        Theme::Device => "device",
        Theme::Light => "light",
        Theme::Dark => "dark",
    };
    let _ = root.set_attribute("lang", desk.language.get().tag());
    let _ = root.set_attribute("data-theme", theme);
}

/// The name of where one is, and the way back.
#[component]
fn Head() -> impl IntoView {
    let desk = Desk::here();
    let title = move || match desk.route.get() {
        Route::Home | Route::Unknown => desk.say(Word::Stemwise).to_owned(),
        Route::Settings => desk.say(Word::Settings).to_owned(),
        Route::Build => desk.say(Word::BuildOne).to_owned(),
        Route::Job(_) => desk.say(Word::CarryOut).to_owned(),
        Route::Circuit(key, _) => desk.card(&key).map(|card| card.name).unwrap_or_default(),
    };
    Effect::new(move |_| document().set_title(&format!("{} · Stemwise", title())));
    view! {
        <header class="head no-print">
            <Show when=move || desk.route.get() != Route::Home>
                <a class="home" href="#/" aria-label=move || desk.say(Word::ToCircuits)>"←"</a>
            </Show>
            <p class="title">{title}</p>
            <Show when=move || desk.route.get() != Route::Settings>
                <a class="to-settings" href="#/settings">{move || desk.say(Word::Settings)}</a>
            </Show>
        </header>
    }
}

/// What concerns every screen: a store that fails, a version that waits.
#[component]
fn Troubles() -> impl IntoView {
    let desk = Desk::here();
    let take = move |_| {
        if let Ok(event) = web_sys::Event::new("stemwise-take-update") {
            let _ = window().dispatch_event(&event);
        }
    };
    view! {
        <div role="status" class="no-print">
            {move || desk.trouble.get().map(|said| view! {
                <p class="note warning">{said}
                    <button on:click=move |_| desk.trouble.set(None)>{desk.say(Word::Close)}</button>
                </p>
            })}
            // A job in progress is never swapped under the hands.
            <Show when=move || desk.update.get() && !matches!(desk.route.get(), Route::Job(_))>
                <p class="note">{move || desk.say(Word::Update)}" "
                    <button on:click=take>{move || desk.say(Word::Reload)}</button>
                    <button class="quiet" on:click=move |_| desk.update.set(false)>{move || desk.say(Word::Later)}</button>
                </p>
            </Show>
        </div>
    }
}

/// The screens of a circuit, to go from one to another.
#[component]
fn Bar() -> impl IntoView {
    let desk = Desk::here();
    let word = |screen| match screen {
        Screen::Look => Word::Look,
        Screen::Plan => Word::Plan,
        Screen::Measure => Word::Measure,
        Screen::Rehearse => Word::Rehearse,
        Screen::Teach => Word::Teach,
        Screen::Change => Word::Change,
    };
    view! {
        {move || match desk.route.get() {
            Route::Circuit(key, here) => Some(view! {
                <nav class="bar no-print">
                    {Screen::ALL.map(|screen| {
                        let to = Route::Circuit(key.clone(), screen).hash();
                        let current = (screen == here).then_some("page");
                        view! { <a href=to aria-current=current>{move || desk.say(word(screen))}</a> }
                    })}
                </nav>
            }),
            _ => None,
        }}
    }
}

#[component]
fn OfCircuit(key: String, screen: Screen) -> impl IntoView {
    let desk = Desk::here();
    // Another circuit that comes or goes must not take this one out of the hands.
    let card = Memo::new(move |_| desk.card(&key));
    view! {
        {move || {
            // The list is read once the store is; what it holds then decides.
            let Some(card) = card.get() else {
                return desk.ready.get().then(|| view! { <Nothing/> }.into_any());
            };
            Some(match screen {
                Screen::Look => view! { <screens::look::Look card/> }.into_any(),
                Screen::Plan => view! { <screens::plan::Plan card/> }.into_any(),
                Screen::Measure => view! { <screens::measure::Measure card/> }.into_any(),
                Screen::Rehearse => view! { <screens::rehearse::Rehearse card/> }.into_any(),
                Screen::Teach => view! { <screens::teach::Teach card/> }.into_any(),
                Screen::Change => view! { <screens::change::Change card/> }.into_any(),
            })
        }}
    }
}

#[component]
fn Nothing() -> impl IntoView {
    let desk = Desk::here();
    view! {
        <p>{move || desk.say(Word::NotFound)}</p>
        <p><a class="button" href="#/">{move || desk.say(Word::ToCircuits)}</a></p>
    }
}
