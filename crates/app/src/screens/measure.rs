//! What do the readings say?

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_answer as core;
use stemwise_wire as wire;

use super::plan::Failed;
use crate::ask::Ask;
use crate::desk::{Card, Desk};
use crate::hand::{bring_into_sight, choose_file, chosen_text, print_page, save_text, value};
use crate::job::{Job, Line, jobs};
use crate::store::Shelf;
use crate::words::Word;

/// What came of a form.
#[derive(Clone, Debug)]
enum Found {
    Nothing,
    Working,
    Failed(wire::Failure),
    Evidence(Box<wire::EvidenceAnswer>),
}

/// A form under hands.
#[derive(Clone, Copy)]
struct Sheet {
    desk: Desk,
    card: StoredValue<Card>,
    kind: StoredValue<String>,
    filled: RwSignal<wire::Filled>,
    log: RwSignal<Option<String>>,
    found: RwSignal<Found>,
}

impl Sheet {
    /// A form with what this device keeps of it.
    fn open(desk: Desk, card: Card, kind: &str) -> Self {
        let sheet = Self {
            desk,
            card: StoredValue::new(card),
            kind: StoredValue::new(kind.to_owned()),
            filled: RwSignal::new(wire::Filled::new()),
            log: RwSignal::new(None),
            found: RwSignal::new(Found::Nothing),
        };
        spawn_local(async move {
            let Some(store) = desk.store() else { return };
            match store.all(Shelf::Forms, &sheet.key()).await {
                // What can't be read was kept by another version; the form is then empty.
                Ok(kept) => {
                    let kept = kept.into_iter().next();
                    sheet
                        .filled
                        .set(kept.and_then(|(_, text)| serde_json::from_str(&text).ok()).unwrap_or_default());
                }
                Err(error) => desk.trouble.set(Some(error)),
            }
        });
        sheet
    }

    fn key(self) -> String {
        self.card.with_value(|card| self.kind.with_value(|kind| format!("{}/{kind}", card.key)))
    }

    /// Each field is on the device the moment it is filled in.
    fn put(self, id: &str, texts: Vec<String>) {
        self.filled.update(|filled| {
            if texts.iter().all(String::is_empty) {
                filled.remove(id);
            } else {
                filled.insert(id.into(), texts);
            }
        });
        let text = serde_json::to_string(&self.filled.get_untracked()).unwrap_or_default();
        self.desk.put(Shelf::Forms, self.key(), text);
    }

    fn clear(self) {
        self.filled.set(wire::Filled::new());
        self.log.set(None);
        self.found.set(Found::Nothing);
        self.desk.put(Shelf::Forms, self.key(), "{}".into());
    }

    fn texts(self, id: &str) -> Vec<String> {
        self.filled.with(|filled| filled.get(id).cloned().unwrap_or_default())
    }

    fn text(self, id: &str) -> String {
        self.texts(id).into_iter().next().unwrap_or_default()
    }

    fn question(self, page: bool) -> Ask {
        Ask::Evidence {
            circuit: self.card.with_value(|card| card.text.clone()),
            kind: self.kind.get_value(),
            filled: self.filled.get_untracked(),
            log: self.log.get_untracked(),
            page,
            units: self.desk.units.get_untracked(),
        }
    }

    fn judge(self) {
        self.found.set(Found::Working);
        spawn_local(async move {
            self.found.set(match self.desk.worker().ask(&self.question(false)).await {
                Ok(evidence) => Found::Evidence(Box::new(evidence)),
                Err(failure) => Found::Failed(failure),
            });
            bring_into_sight("outcome");
        });
    }

    /// The page of evidence, for whatever is done with it.
    fn page(self, then: impl Fn(&str) + 'static) {
        spawn_local(async move {
            let evidence: Result<wire::EvidenceAnswer, _> =
                self.desk.worker().ask(&self.question(true)).await;
            match evidence {
                Ok(evidence) => then(&evidence.page.unwrap_or_default()),
                Err(failure) => self.found.set(Found::Failed(failure)),
            }
        });
    }
}

/// The questions that readings answer, and the form of the one that was chosen.
#[component]
pub(crate) fn Measure(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let chosen = RwSignal::new(None::<String>);
    let card = StoredValue::new(card);
    let forms = Memo::new(move |_| core::evidence_forms(desk.units.get().system()));
    let pick = move |form: wire::EvidenceForm| {
        let kind = StoredValue::new(form.kind.clone());
        let on = move || chosen.with(|chosen| chosen.as_deref() == Some(kind.get_value().as_str()));
        view! {
            <button class="pick" id=format!("ask-{}", form.kind) aria-pressed=move || if on() { "true" } else { "false" }
                on:click=move |_| chosen.set(Some(kind.get_value()))>{desk.tell(form.question)}</button>
        }
    };
    // The form stays in the hands while the units change around it.
    let sheet = Memo::new(move |_| chosen.get());
    view! {
        <h1>{move || desk.say(Word::WhatDoReadingsSay)}</h1>
        <div class="questions no-print">{move || forms.get().into_iter().map(pick).collect_view()}</div>
        {move || sheet.get().map(|kind| {
            let sheet = Sheet::open(desk, card.get_value(), &kind);
            let form = Memo::new(move |_| forms.with(|forms| forms.iter().find(|form| form.kind == kind).cloned()));
            view! { {move || form.get().map(|form| view! { <Form sheet form/> })} <Outcome sheet/> }
        })}
    }
}

#[component]
fn Form(sheet: Sheet, form: wire::EvidenceForm) -> impl IntoView {
    let desk = sheet.desk;
    let working = move || matches!(sheet.found.get(), Found::Working);
    let columns = form.columns;
    let log = (!columns.is_empty()).then(|| view! { <Log sheet columns/> });
    view! {
        <form class="ask wide no-print" on:submit=move |event| { event.prevent_default(); sheet.judge(); }>
            <p>{desk.tell(form.how)}</p>
            {form.parts.into_iter().map(|part| view! { <Part sheet part/> }).collect_view()}
            {log}
            <div class="row">
                <button type="submit" id="judge" disabled=working>{move || desk.say(Word::WhatDoesItMean)}</button>
                <button type="button" class="quiet" on:click=move |_| sheet.clear()>{move || desk.say(Word::StartOver)}</button>
            </div>
        </form>
    }
}

#[component]
fn Part(sheet: Sheet, part: wire::FormPart) -> impl IntoView {
    let desk = sheet.desk;
    let fields = part.fields.into_iter().map(|field| view! { <Field sheet field/> }).collect_view();
    let title = part.title;
    if part.seldom {
        view! { <details><summary>{desk.tell(title)}</summary><div class="fields">{fields}</div></details> }
            .into_any()
    } else {
        view! { <fieldset><legend>{desk.tell(title)}</legend><div class="fields">{fields}</div></fieldset> }
            .into_any()
    }
}

#[component]
fn Field(sheet: Sheet, field: wire::FormField) -> impl IntoView {
    let desk = sheet.desk;
    let id = StoredValue::new(field.id.clone());
    let now = move || id.with_value(|id| sheet.text(id));
    let put = move |event: web_sys::Event| id.with_value(|id| sheet.put(id, vec![value(&event)]));
    let dom = format!("field-{}", field.id);
    match field.entry {
        wire::FormEntry::Text => view! {
            <label>{desk.tell(field.label)}
                <input id=dom autocomplete="off" autocapitalize="off" placeholder=field.example prop:value=now on:change=put/>
            </label>
        }
        .into_any(),
        wire::FormEntry::Choice(choices) => view! {
            <label>{desk.tell(field.label)}
                <select id=dom prop:value=now on:change=put>
                    <option value="">{move || desk.say(Word::NotSaid)}</option>
                    {choices.into_iter().map(|choice| {
                        let label = choice.label;
                        let chosen = choice.id == now();
                        view! { <option value=choice.id selected=chosen>{desk.phrase(label)}</option> }
                    }).collect_view()}
                </select>
            </label>
        }
        .into_any(),
        wire::FormEntry::Series => view! { <Series sheet field=id label=field.label example=field.example/> }.into_any(),
    }
}

/// Readings over time: noted by the clock as they are read, or with a time typed beside them.
#[component]
fn Series(sheet: Sheet, field: StoredValue<String>, label: String, example: String) -> impl IntoView {
    let desk = sheet.desk;
    let typed = RwSignal::new(String::new());
    let time = RwSignal::new(String::new());
    let id = move || field.get_value();
    let began = move || format!("began.{}", field.get_value());
    // The first reading starts the clock.
    let clock = move || {
        let now = js_sys::Date::now();
        match sheet.text(&began()).parse::<f64>() {
            Ok(first) => format!("{:.1} min", (now - first) / 60_000.0),
            Err(_) => {
                sheet.put(&began(), vec![format!("{now}")]);
                "0 min".into()
            }
        }
    };
    let add = move || {
        let reading = typed.get_untracked().trim().to_owned();
        if reading.is_empty() {
            return;
        }
        let at = match time.get_untracked().trim() {
            "" => clock(),
            plain if plain.replace(',', ".").parse::<f64>().is_ok() => format!("{plain} min"),
            other => other.to_owned(),
        };
        let mut all = sheet.texts(&id());
        all.push(format!("{at}={reading}"));
        sheet.put(&id(), all);
        typed.set(String::new());
        time.set(String::new());
    };
    let take_out = move |at: usize| {
        let mut all = sheet.texts(&id());
        if at < all.len() {
            all.remove(at);
        }
        if all.is_empty() {
            sheet.put(&began(), Vec::new());
        }
        sheet.put(&id(), all);
    };
    let enter = move |event: web_sys::KeyboardEvent| {
        if event.key() == "Enter" {
            event.prevent_default();
            add();
        }
    };
    view! {
        <div class="series">
            <ol>{move || sheet.texts(&id()).into_iter().enumerate().map(|(at, text)| view! {
                <li>{text.replacen('=', ": ", 1)}
                    <button type="button" class="quiet" aria-label=move || format!("{}: {}", desk.say(Word::TakeOut), at + 1) on:click=move |_| take_out(at)>"×"</button>
                </li>
            }).collect_view()}</ol>
            <div class="fields">
                <label>{desk.tell(label)}
                    <input id=format!("field-{}", id()) placeholder=example prop:value=move || typed.get() on:input=move |event| typed.set(value(&event)) on:keydown=enter/>
                </label>
                <label>{move || desk.say(Word::AfterMinutes)}
                    <input id=format!("time-{}", id()) inputmode="decimal" prop:value=move || time.get() on:input=move |event| time.set(value(&event)) on:keydown=enter/>
                </label>
                <button type="button" class="quiet" id=format!("note-{}", id()) on:click=move |_| add()>{move || desk.say(Word::NoteIt)}</button>
            </div>
        </div>
    }
}

/// A logged file and which of its columns is what.
#[component]
fn Log(sheet: Sheet, columns: Vec<wire::FormColumn>) -> impl IntoView {
    let desk = sheet.desk;
    let columns = StoredValue::new(columns);
    let header =
        Memo::new(move |_| sheet.log.with(|log| log.as_deref().map(|log| core::log_header(log.as_bytes()))));
    let open = move |event: web_sys::Event| {
        spawn_local(async move {
            if let Some(text) = chosen_text(&event).await {
                sheet.log.set(Some(text));
            }
        });
    };
    let column = move |column: wire::FormColumn, header: Vec<String>| {
        let (of, unit) = (format!("column.{}", column.id), format!("unit.{}", column.id));
        let (of, unit) = (StoredValue::new(of), StoredValue::new(unit));
        let now = of.with_value(|of| {
            sheet.filled.with_untracked(|all| all.get(of).and_then(|it| it.first().cloned()))
        });
        let unit_now = move || unit.with_value(|unit| sheet.text(unit));
        view! {
            <div class="fields">
                <label>{desk.tell(column.label)}
                    <select id=of.get_value() on:change=move |event| of.with_value(|of| sheet.put(of, vec![value(&event)]))>
                        <option value="">{move || desk.say(Word::NoColumn)}</option>
                        {header.into_iter().map(|name| {
                            let chosen = now.as_ref() == Some(&name);
                            view! { <option value=name.clone() selected=chosen>{name.clone()}</option> }
                        }).collect_view()}
                    </select>
                </label>
                <label>{move || desk.say(Word::UnitIfNotInHeader)}
                    <input placeholder=column.unit prop:value=unit_now on:change=move |event| unit.with_value(|unit| sheet.put(unit, vec![value(&event)]))/>
                </label>
            </div>
        }
    };
    view! {
        <details>
            <summary>{move || desk.say(Word::FromLog)}</summary>
            <div class="row">
                <button type="button" class="quiet" on:click=|_| choose_file("open-log")>{move || desk.say(Word::OpenFile)}</button>
                <input id="open-log" type="file" accept=".csv,.txt,text/csv,text/plain" hidden on:change=open/>
            </div>
            {move || header.get().map(|header| columns.get_value().into_iter().map(|it| column(it, header.clone())).collect_view())}
        </details>
    }
}

#[component]
fn Outcome(sheet: Sheet) -> impl IntoView {
    let desk = sheet.desk;
    view! {
        <div id="outcome" aria-live="polite">
            {move || match sheet.found.get() {
                Found::Nothing => ().into_any(),
                Found::Working => view! { <p class="working">{desk.say(Word::Working)}</p> }.into_any(),
                Found::Failed(failure) => view! { <Failed failure/> }.into_any(),
                Found::Evidence(evidence) => view! { <Evidence sheet evidence=*evidence/> }.into_any(),
            }}
        </div>
    }
}

#[component]
fn Evidence(sheet: Sheet, evidence: wire::EvidenceAnswer) -> impl IntoView {
    let desk = sheet.desk;
    let class = match evidence.outcome.as_str() {
        "good" => "note good",
        "bad" => "note danger",
        _ => "note warning",
    };
    let note = evidence_note(&evidence);
    view! {
        <section class="evidence">
            <div class=class><h2>{desk.tell(evidence.verdict)}</h2></div>
            <Sentences title=Word::WhatToDo all=evidence.advice/>
            <Suspects all=evidence.suspects/>
            <Rules all=evidence.rules/>
            <Values all=evidence.values/>
            {evidence.svg.map(|svg| view! { <div class="enthalpy" inner_html=svg></div> })}
            <div class="row no-print">
                <button class="quiet" id="print-evidence" on:click=move |_| sheet.page(move |page| print_page(&desk.page(page)))>{move || desk.say(Word::PrintEvidence)}</button>
                <button class="quiet" on:click=move |_| sheet.page(move |page| save_text("evidence.html", &desk.page(page), "text/html"))>{move || desk.say(Word::SaveFile)}</button>
            </div>
            <IntoJob note/>
            <details>
                <summary>{move || desk.say(Word::WhatItRestsOn)}</summary>
                <ul>{evidence.remarks.into_iter().map(|remark| view! { <li>{desk.tell(remark)}</li> }).collect_view()}</ul>
                <p class="small">{evidence.model}</p>
            </details>
        </section>
    }
}

/// What goes into a job: the test, what it proves, and its values.
fn evidence_note(evidence: &wire::EvidenceAnswer) -> String {
    let pairs = evidence.given.iter().map(|it| (&it.name, &it.shown));
    let values = evidence.values.iter().map(|it| (&it.name, &it.shown));
    let list: Vec<String> = pairs.chain(values).map(|(name, shown)| format!("{name}: {shown}")).collect();
    format!("{}: {}\n{}", evidence.title, evidence.verdict, list.join("; "))
}

/// The jobs under way, to write a test into one.
#[component]
fn IntoJob(note: String) -> impl IntoView {
    let desk = Desk::here();
    let under_way = RwSignal::new_local(Vec::<(Line, Job)>::new());
    let put = RwSignal::new(false);
    let note = StoredValue::new(note);
    Effect::new(move |_| {
        if desk.ready.get() {
            spawn_local(async move {
                let mut found = Vec::new();
                for line in jobs(desk).await {
                    if let Some(job) = Job::load(desk, line.key.clone()).await {
                        found.push((line, job));
                    }
                }
                found.retain(|(_, job)| job.state.with_untracked(|state| state.closed.is_none()));
                under_way.set(found);
            });
        }
    });
    view! {
        <div class="row no-print">
            {move || under_way.get().into_iter().map(|(line, job)| view! {
                <button class="quiet into-job" on:click=move |_| {
                    let step = job.state.with_untracked(|state| state.next).map(|n| wire::JobStep { n, procedure: None });
                    job.add_then(wire::JobEntry::Note { step, text: note.get_value() }, move |_| put.set(true));
                }>{move || desk.say(Word::IntoJob)}": "{desk.tell(line.say)}</button>
            }).collect_view()}
        </div>
        <p class="small" aria-live="polite">{move || put.get().then(|| desk.say(Word::IsInJob))}</p>
    }
}

#[component]
fn Sentences(title: Word, all: Vec<String>) -> impl IntoView {
    let desk = Desk::here();
    (!all.is_empty()).then(|| {
        view! {
            <section class="list">
                <h3>{move || desk.say(title)}</h3>
                <ul>{all.into_iter().map(|said| view! { <li>{desk.tell(said)}</li> }).collect_view()}</ul>
            </section>
        }
    })
}

#[component]
fn Suspects(all: Vec<wire::SuspectAnswer>) -> impl IntoView {
    let desk = Desk::here();
    let one = move |it: wire::SuspectAnswer| {
        let signs = |class: &'static str, said: Vec<String>| {
            said.into_iter().map(|said| view! { <li class=class>{desk.tell(said)}</li> }).collect_view()
        };
        view! {
            <li class="suspect">
                <p><strong>{desk.tell(it.name)}</strong>" · "{desk.tell(stemwise_answer::chance_words(it.weight))}</p>
                {it.sizes.into_iter().map(|size| view! { <p>{desk.tell(size)}</p> }).collect_view()}
                <meter min="0" max="1" value=it.weight aria-hidden="true"></meter>
                <ul>{signs("for", it.in_favour)}{signs("against", it.against)}</ul>
                <p class="small">{it.source}</p>
            </li>
        }
    };
    (!all.is_empty()).then(|| {
        view! {
            <section class="list">
                <h3>{move || desk.say(Word::Suspects)}</h3>
                <ol class="suspects">{all.into_iter().take(5).map(one).collect_view()}</ol>
            </section>
        }
    })
}

#[component]
fn Rules(all: Vec<wire::RuleAnswer>) -> impl IntoView {
    let desk = Desk::here();
    let one = move |it: wire::RuleAnswer| {
        let class = match it.outcome.as_str() {
            "met" => "note good",
            "not met" => "note danger",
            _ => "note",
        };
        view! {
            <li class=class>
                <p><strong>{desk.tell(it.outcome)}</strong>": "{desk.tell(it.wants)}</p>
                <p>{desk.tell(it.why)}</p>
                <p class="small">{it.source}</p>
            </li>
        }
    };
    (!all.is_empty()).then(|| {
        view! {
            <section class="list">
                <h3>{move || desk.say(Word::Criteria)}</h3>
                <ul class="problems">{all.into_iter().map(one).collect_view()}</ul>
            </section>
        }
    })
}

#[component]
fn Values(all: Vec<wire::Estimate>) -> impl IntoView {
    let desk = Desk::here();
    let one = move |it: wire::Estimate| {
        let off = it.target.as_ref().is_some_and(|target| target.against != "within");
        let should = it.target.map(|target| view! {
            <span class:off=off>{move || desk.say(Word::ShouldBe)}" "{target.shown}": "{desk.tell(target.against)}</span>
        });
        view! {
            <div>
                <dt>{desk.tell(it.name)}</dt>
                <dd>{it.shown}{it.estimate.then_some(" ~")}</dd>
                <dd class="small">{should}" "{desk.tell(it.from)}</dd>
            </div>
        }
    };
    (!all.is_empty()).then(|| {
        view! {
            <section class="list">
                <h3>{move || desk.say(Word::WhatFollows)}</h3>
                <dl class="facts values">{all.into_iter().map(one).collect_view()}</dl>
            </section>
        }
    })
}
