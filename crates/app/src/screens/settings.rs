//! Units, language, theme, and what this device keeps.

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen_futures::JsFuture;

use crate::ask::Units;
use crate::desk::{Desk, Theme};
use crate::words::{Language, Word};

/// The settings.
#[component]
pub(crate) fn SettingsScreen() -> impl IntoView {
    let desk = Desk::here();
    let units = move |units: Units| {
        desk.units.set(units);
        desk.keep("units", serde_json::to_string(&units).unwrap_or_default());
    };
    let language = move |language: Language| {
        desk.speak(language);
        desk.keep("language", language.tag().into());
    };
    let theme = move |theme: Theme| {
        desk.theme.set(theme);
        desk.keep("theme", serde_json::to_string(&theme).unwrap_or_default());
    };
    view! {
        <h1>{move || desk.say(Word::Settings)}</h1>
        <Choice title=Word::Units>
            <Pick on=Signal::derive(move || desk.units.get() == Units::Si) say=Signal::derive(move || desk.say(Word::UnitsSi)) then=move || units(Units::Si)/>
            <Pick on=Signal::derive(move || desk.units.get() == Units::Ip) say=Signal::derive(move || desk.say(Word::UnitsIp)) then=move || units(Units::Ip)/>
        </Choice>
        <Choice title=Word::Tongue>
            <Pick on=Signal::derive(move || desk.language.get() == Language::English) say=Signal::derive(|| "English") then=move || language(Language::English)/>
            <Pick on=Signal::derive(move || desk.language.get() == Language::Spanish) say=Signal::derive(|| "Español") then=move || language(Language::Spanish)/>
        </Choice>
        <Choice title=Word::Theme>
            <Pick on=Signal::derive(move || desk.theme.get() == Theme::Device) say=Signal::derive(move || desk.say(Word::ThemeAuto)) then=move || theme(Theme::Device)/>
            <Pick on=Signal::derive(move || desk.theme.get() == Theme::Light) say=Signal::derive(move || desk.say(Word::ThemeLight)) then=move || theme(Theme::Light)/>
            <Pick on=Signal::derive(move || desk.theme.get() == Theme::Dark) say=Signal::derive(move || desk.say(Word::ThemeDark)) then=move || theme(Theme::Dark)/>
        </Choice>
        <Keeping/>
        <p class="small">{move || desk.say(Word::LocalRules)}</p>
    }
}

#[component]
fn Choice(title: Word, children: Children) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <fieldset class="choice">
            <legend>{move || desk.say(title)}</legend>
            <div class="row">{children()}</div>
        </fieldset>
    }
}

/// One of several, as a button that says whether it is the one.
#[component]
pub(crate) fn Pick(
    #[prop(into)] on: Signal<bool>,
    #[prop(into)] say: Signal<&'static str>,
    then: impl Fn() + 'static,
) -> impl IntoView {
    view! {
        <button class="pick" aria-pressed=move || if on.get() { "true" } else { "false" } on:click=move |_| then()>{say}</button>
    }
}

/// Whether this device keeps the app and what is entered.
#[component]
fn Keeping() -> impl IntoView {
    let desk = Desk::here();
    let offline = web_sys::window().is_some_and(|window| window.is_secure_context());
    // The worker is ready once every file is on the device, not before.
    let all_here = RwSignal::new(false);
    if offline {
        spawn_local(async move {
            let ready = window().navigator().service_worker().ready();
            if let Ok(ready) = ready {
                all_here.set(JsFuture::from(ready).await.is_ok());
            }
        });
    }
    let kept = RwSignal::new(None::<bool>);
    let storage = move || web_sys::window().map(|window| window.navigator().storage());
    let look = move |ask: bool| {
        spawn_local(async move {
            let Some(storage) = storage() else { return };
            let promise = if ask { storage.persist() } else { storage.persisted() };
            if let Ok(promise) = promise {
                kept.set(JsFuture::from(promise).await.ok().and_then(|answer| answer.as_bool()));
            }
        });
    };
    if offline {
        look(false);
    }
    view! {
        <section>
            <h2>{move || desk.say(Word::Offline)}</h2>
            <p>{move || desk.say(match (offline, all_here.get()) {
                (true, true) => Word::OfflineReady,
                (true, false) => Word::OfflineComing,
                (false, _) => Word::OfflineNot,
            })}</p>
            {move || kept.get().map(|kept| view! {
                <p>{move || desk.say(if kept { Word::StorageKept } else { Word::StorageNotKept })}</p>
                <Show when=move || !kept>
                    <button on:click=move |_| look(true)>{move || desk.say(Word::AskToKeep)}</button>
                </Show>
            })}
        </section>
    }
}
