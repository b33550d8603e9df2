//! The circuit drawn, and a valve cut open: geometry from the core, made of parts that change by themselves.

use std::collections::{BTreeMap, BTreeSet};

use leptos::prelude::*;
use stemwise_answer::Drawn;
use stemwise_drawing::{
    Align, Cutaway as Cut, Element, LINE, Label, Opening, Pipe, Point, Pose, Rect, Region, Scene, Setting,
    Symbol, Thing, glyph,
};
use stemwise_wire as wire;
use wasm_bindgen::JsCast;

use crate::desk::Desk;
use crate::words::Word;

/// Something in the drawing that was touched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Touched {
    /// A space.
    Space(String),
    /// A valve, a compressor or a machine.
    Valve(String),
    /// A port.
    Port(String),
}

type Kept = StoredValue<Option<Drawn>, LocalStorage>;

/// What it is to touch a thing.
fn touched_by(drawn: Kept, thing: Thing) -> Option<Touched> {
    let id = drawn.with_value(|drawn| drawn.as_ref().and_then(|drawn| drawn.id(thing).map(str::to_owned)))?;
    Some(match thing {
        Thing::Space(_) => Touched::Space(id),
        Thing::Joint(_) => Touched::Valve(id),
        Thing::Port(_) => Touched::Port(id),
    })
}

/// The circuit drawn.
#[component]
pub fn Diagram(
    file: String,
    #[prop(into)] frame: Signal<wire::Frame>,
    touched: RwSignal<Option<Touched>>,
    #[prop(into)] lit: Signal<BTreeSet<String>>,
) -> impl IntoView {
    let desk = Desk::here();
    let drawn: Kept = StoredValue::new_local(Drawn::new(file.as_bytes()).ok());
    let tall = is_narrow();
    // Only what is connected moves things; the rest changes in place.
    let connected = Memo::new(move |_| {
        frame.with(|frame| (frame.hoses.clone(), frame.running.clone(), frame.fitted.clone()))
    });
    // Letters of 15 px may become 14, not less; what does not fit then is reached by scrolling.
    let scale = RwSignal::new(if tall { 1.0_f64 } else { 0.94 });
    let scene = Memo::new(move |_| {
        connected.track();
        drawn.with_value(|drawn| {
            drawn.as_ref().map(|drawn| frame.with_untracked(|frame| drawn.scene(frame, tall)))
        })
    });
    // The region that is looked at alone, by its position; none: all of it.
    let section = RwSignal::new(None::<usize>);
    let view_of = move |scene: &Scene| {
        let alone = section.get().and_then(|at| scene.regions.get(at)).and_then(Region::bounds);
        alone.unwrap_or(scene.view)
    };
    // What was chosen in a list is brought into sight.
    Effect::new(move |_| {
        let id = match touched.get() {
            Some(Touched::Space(id) | Touched::Valve(id) | Touched::Port(id)) => id,
            None => return,
        };
        let outside = section.with_untracked(|section| {
            let scene = scene.get_untracked()?;
            let alone = scene.regions.get((*section)?)?.bounds()?;
            let element = scene.elements.iter().find(|element| element.id == id)?;
            Some(!alone.holds(element.at))
        });
        if outside == Some(true) {
            section.set(None);
        }
        // Ids are words with hyphens; one with a quote in it finds nothing.
        let found = document().query_selector(&format!(r#".diagram [data-thing="{id}"]"#)).ok().flatten();
        if let Some(found) = found {
            let options = web_sys::ScrollIntoViewOptions::new();
            options.set_block(web_sys::ScrollLogicalPosition::Nearest);
            options.set_inline(web_sys::ScrollLogicalPosition::Nearest);
            found.scroll_into_view_with_scroll_into_view_options(&options);
        }
    });
    view! {
        <div class="diagram-box">
            <div class="diagram" tabindex="0">
                {move || scene.get().map(|scene| {
                    let view = view_of(&scene);
                    let box_of = format!("{} {} {} {}", view.x, view.y, view.width, view.height);
                    let regions = scene.regions.iter().map(|region| {
                        let class = if region.place.index() % 2 == 0 { "region" } else { "region odd" };
                        view! {
                            {region.boxes.iter().map(|at| view! { <rect class=class x=at.x y=at.y width=at.width height=at.height/> }).collect_view()}
                            {lettering(desk, &region.label, "region-name")}
                        }
                    }).collect_view();
                    let pipes = scene.pipes.iter().map(|pipe| view! { <OnePipe pipe=pipe.clone() frame lit touched drawn/> }).collect_view();
                    let arrows = scene.pipes.iter().flat_map(|pipe| pipe.arrows.iter()).map(|arrow| {
                        view! { <path class="arrow" transform=arrow.pose.transform(arrow.at) d="M-7-6L8 0L-7 6Z"/> }
                    }).collect_view();
                    let elements = scene.elements.iter().map(|element| view! { <OneElement element=element.clone() frame lit touched drawn/> }).collect_view();
                    view! {
                        <svg viewBox=box_of style=move || format!("width:{}px", view.width * scale.get()) role="group" aria-label=scene.title.clone()>
                            <g aria-hidden="true">{regions}</g>
                            {pipes}
                            <g aria-hidden="true">{arrows}</g>
                            {elements}
                        </svg>
                    }
                })}
            </div>
            <div class="zoom no-print">
                <button class="quiet" aria-label=move || desk.say(Word::Smaller) on:click=move |_| scale.update(|scale| *scale = (*scale / 1.25).max(0.3))>"−"</button>
                <button class="quiet" aria-label=move || desk.say(Word::Larger) on:click=move |_| scale.update(|scale| *scale = (*scale * 1.25).min(4.0))>"+"</button>
                <Finder scene section touched drawn/>
                <Key/>
            </div>
        </div>
    }
}

/// Looks at a section alone, and finds a thing by its name.
#[component]
fn Finder(
    scene: Memo<Option<Scene>>,
    section: RwSignal<Option<usize>>,
    touched: RwSignal<Option<Touched>>,
    drawn: Kept,
) -> impl IntoView {
    let desk = Desk::here();
    let typed = RwSignal::new(String::new());
    let regions = Memo::new(move |_| {
        let name = |region: &Region| region.label.lines.join(" ");
        scene.with(|scene| scene.iter().flat_map(|scene| &scene.regions).map(name).collect::<Vec<_>>())
    });
    let names = Memo::new(move |_| {
        let of = |element: &Element| Some((desk.named(&element.name), touched_by(drawn, element.of)?));
        scene.with(|scene| scene.iter().flat_map(|scene| &scene.elements).filter_map(of).collect::<Vec<_>>())
    });
    let find = move |event: web_sys::Event| {
        let wanted = event_target_value(&event).trim().to_lowercase();
        typed.set(String::new());
        let found = names.with(|names| {
            let whole = names.iter().find(|(name, _)| name.to_lowercase() == wanted);
            whole.or_else(|| names.iter().find(|(name, _)| name.to_lowercase().contains(&wanted))).cloned()
        });
        if let Some((_, found)) = found.filter(|_| !wanted.is_empty()) {
            touched.set(Some(found));
        }
    };
    let choose = move |event: web_sys::Event| section.set(event_target_value(&event).parse().ok());
    // One list for each diagram that a page shows.
    let list = format!("things-{}", (js_sys::Math::random() * 1e9) as u32);
    view! {
        <label class="finder">{move || desk.say(Word::FindThing)}
            <input type="search" class="find" list=list.clone() prop:value=move || typed.get() on:change=find/>
        </label>
        <datalist id=list>{move || names.get().into_iter().map(|(name, _)| view! { <option value=name></option> }).collect_view()}</datalist>
        <Show when=move || regions.with(|all| all.len() > 1)>
            <label class="finder">{move || desk.say(Word::Section)}
                <select class="section" on:change=choose prop:value=move || section.get().map_or_else(String::new, |at| at.to_string())>
                    <option value="">{move || desk.say(Word::AllOfIt)}</option>
                    {move || regions.get().into_iter().enumerate().map(|(at, name)| view! { <option value=at.to_string()>{name}</option> }).collect_view()}
                </select>
            </label>
        </Show>
    }
}

/// What the patterns mean.
#[component]
fn Key() -> impl IntoView {
    let desk = Desk::here();
    let fills = [
        ("liquid", Word::Liquid),
        ("liquid-and-vapour", Word::LiquidAndVapour),
        ("vapour", Word::Vapour),
        ("vacuum", Word::Vacuum),
        ("air", Word::Air),
        ("nitrogen", Word::Nitrogen),
    ];
    view! {
        <ul class="key">
            {fills.map(|(holds, word)| view! {
                <li><svg viewBox="0 0 44 14" width="44" height="14" aria-hidden="true"><g class=format!("pipe holds-{holds}")>
                    <polyline class="outer" points="2,7 42,7"/><polyline class="inner" points="2,7 42,7"/></g></svg>{move || desk.say(word)}</li>
            })}
        </ul>
    }
}

/// The lines of a label in the person's language: no more of them than there is room for.
fn spoken(desk: Desk, label: &Label) -> Vec<String> {
    let whole = label.lines.join(" ");
    let said = desk.named(&whole);
    if said == whole {
        return label.lines.clone();
    }
    let longest = label.lines.iter().map(|line| line.chars().count()).max().unwrap_or(0);
    let widths = longest..=longest.max(said.chars().count());
    let fits = |lines: &Vec<String>| lines.len() <= label.lines.len().max(1);
    widths.map(|width| wrapped(&said, width)).find(fits).unwrap_or_else(|| vec![said])
}

/// A text in lines of at most so many characters, where its words allow it.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn lettering(desk: Desk, label: &Label, class: &'static str) -> impl IntoView + use<> {
    let anchor = if label.align == Align::Middle { "middle" } else { "start" };
    let at = label.at;
    spoken(desk, label)
        .into_iter()
        .enumerate()
        .map(|(n, line)| {
            view! {
                <text class=class x=at.x y=at.y + LINE * n as f64 text-anchor=anchor>{format!("{line} ")}</text>
            }
        })
        .collect_view()
}

fn points(points: &[Point]) -> String {
    points.iter().map(|at| format!("{:.1},{:.1}", at.x, at.y)).collect::<Vec<_>>().join(" ")
}

/// The keys with which something is touched.
fn is_press(event: &web_sys::KeyboardEvent) -> bool {
    matches!(event.key().as_str(), "Enter" | " ")
}

#[component]
fn OnePipe(
    pipe: Pipe,
    frame: Signal<wire::Frame>,
    lit: Signal<BTreeSet<String>>,
    touched: RwSignal<Option<Touched>>,
    drawn: Kept,
) -> impl IntoView {
    let id = drawn.with_value(|drawn| {
        drawn.as_ref().and_then(|drawn| drawn.id(Thing::Space(pipe.space)).map(str::to_owned))
    });
    let id = StoredValue::new(id.unwrap_or_default());
    let (line, header) = (pipe.line.word(), if pipe.is_header { " header" } else { "" });
    let class = Memo::new(move |_| {
        let holds = frame.with(|frame| {
            frame
                .spaces
                .iter()
                .find(|space| id.with_value(|id| space.space == *id))
                .map_or("vapour".to_owned(), |space| space.holds.clone())
        });
        let lit = if lit.with(|lit| id.with_value(|id| lit.contains(id))) { " lit" } else { "" };
        format!("pipe {line}{header} holds-{holds}{lit}")
    });
    let runs: Vec<String> = pipe.runs.iter().map(|run| points(run)).collect();
    let glow = runs.clone();
    view! {
        <g class=move || class.get() on:click=move |_| touched.set(Some(Touched::Space(id.get_value())))>
            <title>{pipe.name.clone()}</title>
            {glow.into_iter().map(|run| view! { <polyline class="glow" points=run/> }).collect_view()}
            {runs.iter().map(|run| view! { <polyline class="outer" points=run.clone()/> }).collect_view()}
            {runs.iter().map(|run| view! { <polyline class="inner" points=run.clone()/> }).collect_view()}
            {runs.into_iter().map(|run| view! { <polyline class="reach" points=run/> }).collect_view()}
            {pipe.tees.iter().map(|at| view! { <circle class="tee" cx=at.x cy=at.y r="4.5"/> }).collect_view()}
        </g>
    }
}

#[component]
fn OneElement(
    element: Element,
    frame: Signal<wire::Frame>,
    lit: Signal<BTreeSet<String>>,
    touched: RwSignal<Option<Touched>>,
    drawn: Kept,
) -> impl IntoView {
    let desk = Desk::here();
    let named = |thing: Thing| {
        drawn.with_value(|drawn| drawn.as_ref().and_then(|drawn| drawn.id(thing).map(str::to_owned)))
    };
    let what = touched_by(drawn, element.of);
    let spaces: Vec<String> = element.spaces.iter().filter_map(|space| named(Thing::Space(*space))).collect();
    let spaces = StoredValue::new(spaces);
    let what = StoredValue::new(what);
    let kept = StoredValue::new(element.clone());
    let setting = Memo::new(move |_| {
        frame.with(|frame| {
            drawn.with_value(|drawn| {
                drawn.as_ref().map_or_else(Setting::default, |drawn| {
                    kept.with_value(|element| drawn.setting(element, frame))
                })
            })
        })
    });
    let is_chosen = move || what.with_value(|what| what.is_some() && touched.with(|touched| touched == what));
    let class = move || {
        let on = lit.with(|lit| spaces.with_value(|spaces| spaces.iter().any(|space| lit.contains(space))));
        let chosen = if is_chosen() { " chosen" } else { "" };
        format!("element{}{chosen}", if on { " lit" } else { "" })
    };
    let name = move || {
        kept.with_value(|element| match setting.get().words() {
            Some(words) => format!("{}: {}", desk.named(&element.name), desk.told(words)),
            None => desk.named(&element.name),
        })
    };
    let touch = move || {
        if let Some(what) = what.get_value() {
            touched.set(Some(what));
        }
    };
    let hit = element.hit;
    view! {
        <g class=class role="button" tabindex="0" aria-label=name aria-pressed=move || if is_chosen() { "true" } else { "false" }
            data-thing=element.id.clone()
            on:click=move |_| touch()
            on:keydown=move |event: web_sys::KeyboardEvent| if is_press(&event) { event.prevent_default(); touch(); }>
            <g transform=element.pose.transform(element.at)>
                {move || kept.with_value(|element| glyph(element.symbol, element.pose, &setting.get())).into_iter().map(|stroke| view! {
                    <path class=stroke.ink.word() d=stroke.d/>
                }).collect_view()}
            </g>
            {element.label.clone().map(|found| move || lettering(desk, &found, "label"))}
            <rect class="hit" x=hit.x y=hit.y width=hit.width height=hit.height rx="8"/>
        </g>
    }
}

/// Between which places a cutaway shows its valve, px: bodies end well inside.
const NUMBERS: (f64, f64) = (-60.0, 380.0);

/// The room of a number.
const NUMBER: f64 = 34.0;

/// Whether the page is on a phone.
fn is_narrow() -> bool {
    window().inner_width().ok().and_then(|width| width.as_f64()).is_some_and(|width| width < 760.0)
}

/// A valve cut open: its stem can be taken hold of and turned, by hand, by buttons or by keys.
#[component]
pub fn Cutaway(
    file: String,
    valve: String,
    #[prop(into)] frame: Signal<wire::Frame>,
    between: [String; 2],
    /// What becomes of a turn that ends in another position.
    then: Callback<String>,
) -> impl IntoView {
    let desk = Desk::here();
    let drawn: Kept = StoredValue::new_local(Drawn::new(file.as_bytes()).ok());
    let key = StoredValue::new(valve);
    let of = move |read: &dyn Fn(&Drawn, &str) -> Option<f64>| {
        drawn.with_value(|drawn| drawn.as_ref().and_then(|drawn| key.with_value(|key| read(drawn, key))))
    };
    let all = of(&|drawn, key| drawn.turns(key)).unwrap_or(1.0);
    // Where the hand holds it; none: where the state has it.
    let held = RwSignal::new(None::<f64>);
    let stands = Memo::new(move |_| {
        let word =
            frame.with(|frame| key.with_value(|key| frame.stems.get(key).cloned())).unwrap_or_default();
        of(&|drawn, key| drawn.turns_of(key, &word)).unwrap_or(0.0)
    });
    let turns = move || held.get().unwrap_or_else(|| stands.get());
    let place = move |turns: f64| {
        drawn.with_value(|drawn| {
            drawn.as_ref().and_then(|drawn| key.with_value(|key| drawn.position_of(key, turns)))
        })
    };
    let let_go = move || {
        if let Some(turns) = held.get_untracked() {
            let now = place(stands.get_untracked());
            match place(turns) {
                Some(to) if Some(to) != now => then.run(to.to_owned()),
                _ => {}
            }
            held.set(None);
        }
    };
    let nudge = move |by: f64| {
        held.set(Some((turns() + by).clamp(0.0, all)));
        let_go();
    };
    let start = StoredValue::new(None::<(i32, f64)>);
    let down = move |event: web_sys::PointerEvent| {
        if let Some(target) =
            event.current_target().and_then(|target| target.dyn_into::<web_sys::Element>().ok())
        {
            // Without the capture the drag ends at the edge of the handle; it still works.
            let _ = target.set_pointer_capture(event.pointer_id());
        }
        start.set_value(Some((event.client_x(), turns())));
        held.set(Some(turns()));
    };
    let drag = move |event: web_sys::PointerEvent| {
        if let Some((x, from)) = start.get_value() {
            // One width of a thumb is half a turn.
            held.set(Some((from + f64::from(event.client_x() - x) / 88.0).clamp(0.0, all)));
        }
    };
    let up = move |_: web_sys::PointerEvent| {
        start.set_value(None);
        let_go();
    };
    let keys = move |event: web_sys::KeyboardEvent| {
        let by = match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => 0.125,
            "ArrowLeft" | "ArrowDown" => -0.125,
            "PageUp" => 1.0,
            "PageDown" => -1.0,
            "Home" => -all,
            "End" => all,
            _ => return,
        };
        event.prevent_default();
        nudge(by);
    };
    let sides = StoredValue::new(between);
    let holds = move || {
        let fill = |at: usize| {
            let id = sides.with_value(|sides| sides[at].clone());
            frame.with(|frame| {
                frame.spaces.iter().find(|space| space.space == id).map(|space| space.holds.clone())
            })
        };
        BTreeMap::from([(Opening::Line, fill(0)), (Opening::Body, fill(1))])
    };
    let cut = move || {
        drawn.with_value(|drawn| {
            drawn.as_ref().and_then(|drawn| key.with_value(|key| drawn.cut(key, turns())))
        })
    };
    let first = cut();
    let shown = first.is_some();
    let (name, view) = first.map_or(("", Rect::default()), |cut| (cut.name, cut.view));
    // Words would be too small in the drawing: it shows numbers, and the words stand below.
    let view = Rect { x: NUMBERS.0, width: NUMBERS.1 - NUMBERS.0, ..view };
    let words = move || cut().map_or_else(Vec::new, |cut| cut.callouts);
    // The element stays while the stem turns, or the hand would lose its hold.
    view! {
        <Show when=move || shown>
            <div class="cutaway" role="slider" tabindex="0" aria-valuemin="0" aria-valuemax=all aria-valuenow=turns
                aria-label=name
                aria-valuetext=move || format!("{:.2} {}", turns(), desk.say(Word::TurnsOff))
                on:keydown=keys on:pointerdown=down on:pointermove=drag on:pointerup=up on:pointercancel=up>
                <svg viewBox=format!("{} {} {} {}", view.x, view.y, view.width, view.height) aria-hidden="true">
                    <Fills/>
                    <g>{move || cut().map(|cut| inside(&cut, &holds()))}</g>
                </svg>
            </div>
            <ol class="callouts">{move || words().into_iter().map(|callout| view! { <li>{desk.tell(callout.text)}</li> }).collect_view()}</ol>
            <p class="small">{move || format!("{:.2} / {all:.1} {}", turns(), desk.say(Word::TurnsOff))}</p>
        </Show>
    }
}

/// The pieces of a cutaway, passages filled with what they hold.
fn inside(cut: &Cut, holds: &BTreeMap<Opening, Option<String>>) -> impl IntoView + use<> {
    let fill = |opening: Opening| {
        // A passage holds what those hold that it is joined to.
        let group = cut.joined.iter().find(|group| group.contains(&opening));
        let known = group
            .into_iter()
            .flatten()
            .chain([&opening])
            .find_map(|opening| holds.get(opening).cloned().flatten());
        known.map_or("url(#c-air)".to_owned(), |holds| format!("url(#c-{holds})"))
    };
    let piece = |piece: &stemwise_drawing::Piece| {
        let line = piece.stuff == stemwise_drawing::Stuff::Line;
        let points = points(&piece.outline);
        if line {
            view! { <polyline class=piece.stuff.word() points=points/> }.into_any()
        } else {
            view! { <polygon class=piece.stuff.word() points=points/> }.into_any()
        }
    };
    view! {
        {cut.metal.iter().map(piece).collect_view()}
        {cut.passages.iter().map(|passage| view! { <polygon class="passage" fill=fill(passage.opening) points=points(&passage.outline)/> }).collect_view()}
        {cut.pieces.iter().map(piece).collect_view()}
        {cut.callouts.iter().enumerate().map(|(at, callout)| {
            let from = Point::new(callout.from.x.clamp(NUMBERS.0 + NUMBER, NUMBERS.1 - NUMBER), callout.from.y);
            view! {
                <polyline class="leader" points=points(&[from, callout.to])/>
                <text x=from.x y=from.y + 5.0 text-anchor=if callout.on_right { "start" } else { "end" }>{at + 1}</text>
            }
        }).collect_view()}
    }
}

/// The patterns of what a passage holds.
#[component]
fn Fills() -> impl IntoView {
    view! {
        <defs>
            <pattern id="c-liquid" width="12" height="12" patternUnits="userSpaceOnUse"><rect width="12" height="12" class="p-liquid"/><path class="p-line" d="M0 3C2 1 4 1 6 3S10 5 12 3M0 9C2 7 4 7 6 9S10 11 12 9"/></pattern>
            <pattern id="c-liquid-and-vapour" width="12" height="12" patternUnits="userSpaceOnUse"><rect width="12" height="12" class="p-both"/><path class="p-line" d="M0 9C2 7 4 7 6 9S10 11 12 9"/><circle class="p-dot" cx="4" cy="3" r="1.5"/></pattern>
            <pattern id="c-vapour" width="12" height="12" patternUnits="userSpaceOnUse"><rect width="12" height="12" class="p-vapour"/><circle class="p-dot" cx="3" cy="3" r="1.2"/><circle class="p-dot" cx="9" cy="9" r="1.2"/></pattern>
            <pattern id="c-vacuum" width="12" height="12" patternUnits="userSpaceOnUse"><rect width="12" height="12" class="p-vacuum"/><path class="p-line" d="M0 12L12 0"/></pattern>
            <pattern id="c-air" width="12" height="12" patternUnits="userSpaceOnUse"><rect width="12" height="12" class="p-air"/><path class="p-line" d="M3 1V5M1 3H5M9 7V11M7 9H11"/></pattern>
            <pattern id="c-nitrogen" width="12" height="12" patternUnits="userSpaceOnUse"><rect width="12" height="12" class="p-nitrogen"/><path class="p-line" d="M0 0L12 12M0 12L12 0"/></pattern>
        </defs>
    }
}

/// A picture of a kind of piece, to choose by.
#[component]
pub fn Picture(table: String, kind: String) -> impl IntoView {
    let symbol = (table != "line").then(|| Symbol::of_kind(&kind)).flatten();
    match symbol {
        Some(symbol) => {
            let around = symbol.bounds().grown(6.0).at_least(56.0);
            view! {
                <svg class="picture" viewBox=format!("{} {} {} {}", around.x, around.y, around.width, around.height) aria-hidden="true">
                    {glyph(symbol, Pose::Right, &Setting::default()).into_iter().map(|stroke| view! { <path class=stroke.ink.word() d=stroke.d/> }).collect_view()}
                </svg>
            }.into_any()
        }
        None => view! {
            <svg class="picture" viewBox="0 0 56 56" aria-hidden="true"><g class=format!("pipe {kind}")>
                <polyline class="outer" points="2,28 54,28"/><polyline class="inner" points="2,28 54,28"/></g></svg>
        }.into_any(),
    }
}
