//! A chart of a few curves over time.

use leptos::prelude::*;

/// A curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it is.
    pub name: String,
    /// Whether it belongs to the low side.
    pub low: bool,
    /// Its points.
    pub points: Vec<(f64, f64)>,
}

const WIDTH: f64 = 560.0;
const HEIGHT: f64 = 220.0;
/// Room for the figures at the axes.
const LEFT: f64 = 52.0;
const BELOW: f64 = 30.0;
/// More points than these are not seen.
const MOST: usize = 600;

/// The least and the greatest of some values, a little apart at least.
fn range(values: impl Iterator<Item = f64>, apart: f64) -> (f64, f64) {
    let (low, high) = values
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
    if low.is_finite() { (low, high.max(low + apart)) } else { (0.0, apart) }
}

/// A step of 1, 2 or 5 times a power of ten that makes about four of the span.
fn step(span: f64) -> f64 {
    let mut power = 1e-6;
    while power * 10.0 < span / 4.0 {
        power *= 10.0;
    }
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|times| times * power)
        .find(|step| span / step <= 5.0)
        .unwrap_or(power * 10.0)
}

/// Curves over time.
#[component]
pub fn Chart(
    #[prop(into)] series: Signal<Vec<Series>>,
    #[prop(into)] x: Signal<&'static str>,
    #[prop(into)] y: Signal<&'static str>,
) -> impl IntoView {
    view! {
        {move || {
            let all = series.get();
            let points = || all.iter().flat_map(|series| series.points.iter());
            let (x0, x1) = range(points().map(|at| at.0), 1.0);
            let (y0, y1) = range(points().map(|at| at.1).chain([0.0]), 1.0);
            let place = move |(px, py): (f64, f64)| {
                let across = LEFT + (px - x0) / (x1 - x0) * (WIDTH - LEFT - 8.0);
                (across, 8.0 + (y1 - py) / (y1 - y0) * (HEIGHT - BELOW - 8.0))
            };
            let (by_x, by_y) = (step(x1 - x0), step(y1 - y0));
            let marks = |from: f64, to: f64, by: f64| {
                let first = (from / by).ceil() as i64;
                (first..).map(move |n| n as f64 * by).take_while(move |at| *at <= to + 1e-9).take(12).collect::<Vec<_>>()
            };
            let names: Vec<String> = all.iter().map(|series| series.name.clone()).collect();
            let names = names.join(", ");
            let figure = |value: f64, by: f64| if by < 1.0 { format!("{value:.1}") } else { format!("{value:.0}") };
            view! {
                <svg class="chart" viewBox=format!("0 0 {WIDTH} {HEIGHT}") role="img" aria-label=names>
                    {marks(y0, y1, by_y).into_iter().map(|value| {
                        let (_, down) = place((x0, value));
                        view! { <path class="grid" d=format!("M{LEFT} {down:.1}H{WIDTH}")/><text x=LEFT - 6.0 y=down + 5.0 text-anchor="end">{figure(value, by_y)}</text> }
                    }).collect_view()}
                    {marks(x0, x1, by_x).into_iter().map(|value| {
                        let (across, _) = place((value, y0));
                        view! { <text x=across y=HEIGHT - 10.0 text-anchor="middle">{figure(value, by_x)}</text> }
                    }).collect_view()}
                    <text x=WIDTH - 4.0 y=HEIGHT - 10.0 text-anchor="end">{x.get()}</text>
                    <text x="2" y="16">{y.get()}</text>
                    {all.iter().map(|series| {
                        let every = series.points.len().div_ceil(MOST).max(1);
                        let line: Vec<String> = series.points.iter().step_by(every).chain(series.points.last()).map(|at| {
                            let (across, down) = place(*at);
                            format!("{across:.1},{down:.1}")
                        }).collect();
                        view! { <polyline class=if series.low { "low" } else { "high" } points=line.join(" ")/> }
                    }).collect_view()}
                </svg>
            }
        }}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_few() {
        for span in [0.02, 0.7, 1.0, 9.0, 33.0, 480.0, 1e5] {
            let by = step(span);
            assert!((1.0..=8.0).contains(&(span / by)), "{span}: {by}");
        }
    }

    #[test]
    fn a_range_of_nothing_is_still_one() {
        assert_eq!(range([].into_iter(), 1.0), (0.0, 1.0));
        assert_eq!(range([3.0, 3.0].into_iter(), 0.5), (3.0, 3.5));
    }
}
